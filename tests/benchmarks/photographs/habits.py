"""Builds trees of photographs under the names that people give to folders, and the truth beside it.

Each kind of tree is one habit: a camera's own folders, prices, years, customers, sales, websites,
telephones, places, sizes; and the good habits beside the bad ones. The names are drawn from lists
of our own, the numbers among them mostly from those of the stock list, so that whoever believes the
first number he meets is wrong. Nothing here is shared with the rules that read names.

Two lists of words ('one' and 'two') never meet in one tree: what was found with one can be judged
by the other.
"""

from __future__ import annotations

import csv
import random
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import piexif
from builder import _framed, _views
from derive import jpeg
from pieces import Backdrop, Pot, Shot, make_backdrop, make_pot, photograph
from PIL import Image

SIZE = (320, 240)
COLUMNS = ("path", "picture", "objects", "view", "how", "taken", "clock_right", "numbered")

CAMERAS = {
    "one": ("ABCDE", "CANON", "_PANA", "OLYMP", "NIKON", "MSDCF", "0604A", "EOS5D", "APPLE"),
    "two": ("RICOH", "LEICA", "_FUJI", "D70S_", "KM_A2", "PENTX", "TG5__", "_0612", "GOPRO"),
}
PRICES = {
    "one": (
        "{n} EUR",
        "ask {n}",
        "{n} €",
        "GBP {n}",
        "asking {n}",
        "£{n}",
        "Preis {n}",
        "{n}.-",
        "CHF {n}",
    ),
    "two": (
        "{n} Euro",
        "{n} USD",
        "$ {n}",
        "prix {n}",
        "VB {n}",
        "paid {n}",
        "DM {n}",
        "{n},-",
        "offer {n}",
    ),
}
YEARS = {
    "one": (
        "card {y}-05",
        "Site {y}",
        "Backup {y}",
        "sold {y}",
        "old pc {y}",
        "Fair {y}",
        "till {y}",
    ),
    "two": (
        "disc {y}",
        "shop {y}",
        "Sicherung {y}",
        "verkauft {y}",
        "chip {y}_11",
        "Messe {y}",
        "web {y}",
    ),
}
COUNTS = {
    "one": ("{n} pictures", "{n} pieces", "{n} photos", "first {n}"),
    "two": ("{n} Bilder", "{n} Stück", "{n} images", "rest ({n})"),
}
CUSTOMERS = {
    "one": (
        "for Marrow",
        "Dr Elm {n}",
        "Hollis",
        "Oke, {n} Mill Lane",
        "Quill & Sons",
        "ask Ferris",
    ),
    "two": (
        "Frau Lindgrab",
        "to Pell",
        "Mme Oriol {n}",
        "Tamsin",
        "Herr Voss, Gasse {n}",
        "Braddock",
    ),
}
SALES = {
    "one": ("lot {n}", "sale {n}", "auction lot {n}", "cat {n}", "invoice {n}", "page {n}"),
    "two": ("Los {n}", "Auktion {n}", "vente {n}", "p {n}", "Rechnung {n}", "fig {n}"),
}
PLACES = {
    "one": ("Lyon", "flat upstairs", "store room", "Ghent fair", "table by the window"),
    "two": ("Basel", "Keller", "chez Oriol", "back room", "Kiste im Lager"),
}
SIZES = {
    "one": ("{n} mm", "H {n}mm", "{n} px", "{n}dpi"),
    "two": ("{n} g", "{n} x {n}", "ISO {n}", "{n} pixel"),
}
FORMS = {
    "one": ("vase", "bowl", "jar", "bottle", "dish", "teapot", "ewer", "censer"),
    "two": ("Vase", "Schale", "Flasche", "Teller", "Kanne", "Dose", "Krug", "Becher"),
}
COLOURS = {
    "one": ("blue", "brown", "white", "celadon", "black", "red", "yellow", "green"),
    "two": ("blaue", "braune", "weisse", "grüne", "schwarze", "rote", "gelbe", "graue"),
}
STEMS = (
    "IMG_{c:04d}.JPG",
    "DSC_{c:04d}.JPG",
    "P101{c:04d}.JPG",
    "DSCN{c:04d}.JPG",
    "_MG_{c:04d}.JPG",
)


@dataclass
class Piece:
    """A piece: its number in the stock list, how it looks, what people call it."""

    number: int
    pot: Pot
    words: str

    @property
    def name(self) -> str:
        return f"HW {self.number:04d}"


@dataclass
class Click:
    """One exposure: of which piece, when, by which clock, and where its files lie."""

    piece: Piece
    view: str
    shot: Shot
    backdrop: Backdrop
    time: datetime
    clock: datetime
    camera: str
    kind: str
    path: str = ""
    numbered: bool = False
    copies: list[tuple[str, str]] = field(default_factory=list)


class Tree:
    """The plan of one tree."""

    def __init__(self, pieces: int, seed: int, words: str) -> None:
        self.chance = random.Random(seed)
        self.seeded = np.random.default_rng(seed)
        self.words = words
        self.clicks: list[Click] = []
        self.counter = self.chance.randint(100, 6000)
        self.day = datetime(2005, 3, 2, 10, 0, 0)  # noqa: DTZ001 - cameras know no time zone
        numbers = list(range(100, 100 + 14 * pieces))
        self.chance.shuffle(numbers)
        self.pieces = [Piece(n, make_pot(self.seeded), "") for n in sorted(numbers[:pieces])]
        called: set[str] = set()
        for piece in self.pieces:
            while not piece.words or piece.words in called:
                piece.words = f"{self.any(COLOURS)} {self.any(FORMS)}"
                if self.chance.random() < 0.5:
                    piece.words += f" {self.chance.choice('ABCDEFGHK')}{self.chance.randint(1, 9)}"
            called.add(piece.words)
        habits: tuple[Callable[[list[Piece]], None], ...] = (
            self.cards, self.prices, self.years, self.counts, self.customers, self.sales,
            self.places, self.sizes, self.telephone, self.numbers, self.named, self.titled,
            self.by_month, self.unset,
        )  # fmt: skip
        waiting = list(self.pieces)
        turn = 0
        while waiting:
            habit = habits[turn % len(habits)]
            turn += 1
            many = min(self.chance.randint(3, 7), len(waiting))
            habit([waiting.pop(self.chance.randrange(len(waiting))) for _ in range(many)])
        self.second_disk()

    def any(self, lists: dict[str, tuple[str, ...]]) -> str:
        """A word of the list in use."""
        return self.chance.choice(lists[self.words])

    def poison(self, text: str) -> str:
        """A name with a number that is some other piece's, or a year."""
        n = self.chance.choice(self.pieces).number
        return text.format(n=n, y=self.chance.randint(2004, 2016))

    def session(self, pieces: list[Piece], kind: str, *, unset: bool = False) -> list[list[Click]]:
        """A day's work: the clicks of each piece."""
        self.day += timedelta(days=self.chance.randint(5, 60), minutes=self.chance.randint(0, 300))
        backdrop = make_backdrop(self.seeded)
        time = self.day
        right = timedelta()
        if unset:
            begins = datetime(self.chance.choice([2000, 2002, 2003, 2005]), 1, 1)  # noqa: DTZ001
            right = begins + timedelta(minutes=self.chance.randint(0, 900)) - time
        camera = f"{kind} {self.chance.randint(1, 3)}"
        done = []
        for piece in pieces:
            time += timedelta(seconds=self.chance.randint(90, 500))
            clicks = []
            for view in _views(piece.pot, self.chance):
                time += timedelta(seconds=self.chance.randint(6, 35))
                shot = _framed(piece.pot, view, self.chance)
                clicks.append(Click(piece, view, shot, backdrop, time, time + right, camera, kind))
            done.append(clicks)
        return done

    def put(self, clicks: list[Click], folder: str, stem: str = "") -> None:
        """The clicks under a camera's names in a folder."""
        stem = stem or self.chance.choice(STEMS)
        for click in clicks:
            self.counter = self.counter % 9998 + 1
            click.path = f"{folder}/{stem.format(c=self.counter)}"
            self.clicks.append(click)

    def gathered(self, pieces: list[Piece], kind: str, lists: dict[str, tuple[str, ...]]) -> None:
        """All pieces of a day in one or two folders whose names say nothing of them."""
        done = self.session(pieces, kind)
        cut = self.chance.choice([len(done), (len(done) + 1) // 2])
        top = self.chance.choice([kind, str(self.day.year), f"{self.day:%Y-%m}", "Photos"])
        stem = self.chance.choice(STEMS)
        for part in (done[:cut], done[cut:]):
            folder = f"{top}/{self.poison(self.any(lists))}"
            self.put([c for clicks in part for c in clicks], folder, stem)

    def cards(self, pieces: list[Piece]) -> None:
        n = self.chance.choice([p.number for p in self.pieces if 100 <= p.number <= 999])
        done = self.session(pieces, "card")
        folder = f"DCIM/{n}{self.any(CAMERAS)}"
        self.put([c for clicks in done for c in clicks], folder)

    def prices(self, pieces: list[Piece]) -> None:
        self.gathered(pieces, "price", PRICES)

    def years(self, pieces: list[Piece]) -> None:
        self.gathered(pieces, "year", YEARS)

    def counts(self, pieces: list[Piece]) -> None:
        self.gathered(pieces, "count", COUNTS)

    def customers(self, pieces: list[Piece]) -> None:
        self.gathered(pieces, "customer", CUSTOMERS)

    def sales(self, pieces: list[Piece]) -> None:
        self.gathered(pieces, "sale", SALES)

    def places(self, pieces: list[Piece]) -> None:
        self.gathered(pieces, "place", PLACES)

    def sizes(self, pieces: list[Piece]) -> None:
        self.gathered(pieces, "size", SIZES)

    def telephone(self, pieces: list[Piece]) -> None:
        n = self.chance.choice(self.pieces).number
        folder = self.chance.choice(
            [f"+44 7700 900{n % 1000:03d}", "WhatsApp Images", "from phone"]
        )
        for clicks in self.session(pieces, "telephone"):
            for click in clicks:
                self.counter = self.counter % 9998 + 1
                name = f"IMG_{click.time:%Y%m%d_%H%M%S}.jpg"
                if folder.startswith("WhatsApp"):
                    name = f"IMG-{click.time:%Y%m%d}-WA{self.counter:04d}.jpg"
                click.path = f"{folder}/{name}"
                self.clicks.append(click)

    def numbers(self, pieces: list[Piece]) -> None:
        """A folder for each piece, by its number."""
        form = self.chance.choice(["{p}", "{p} {w}", "HW{n:04d}", "hw-{n}", "{n:04d} {w}"])
        for clicks in self.session(pieces, "numbered folder"):
            piece = clicks[0].piece
            folder = form.format(p=piece.name, n=piece.number, w=piece.words)
            self.numbered(clicks)
            self.put(clicks, f"{self.day.year} stock/{folder}")

    def named(self, pieces: list[Piece]) -> None:
        """Files by the number of the piece and the view."""
        for clicks in self.session(pieces, "numbered file"):
            self.numbered(clicks)
            for place, click in enumerate(clicks):
                click.path = f"{self.day.year} list/{click.piece.name} {click.view} {place}.jpg"
                self.clicks.append(click)

    def numbered(self, clicks: list[Click]) -> None:
        for click in clicks:
            click.numbered = True

    def titled(self, pieces: list[Piece]) -> None:
        """A folder for each piece, by words, within a folder that says something else."""
        top = self.poison(self.any(YEARS))
        for clicks in self.session(pieces, "titled folder"):
            self.put(clicks, f"{top}/{clicks[0].piece.words}")

    def by_month(self, pieces: list[Piece]) -> None:
        done = self.session(pieces, "month")
        self.put([c for clicks in done for c in clicks], f"{self.day:%Y}/{self.day:%B}")

    def unset(self, pieces: list[Piece]) -> None:
        """A camera whose clock was never set."""
        done = self.session(pieces, "unset", unset=True)
        folder = self.chance.choice(["new camera", "DCIM/100" + self.any(CAMERAS), "unsorted"])
        self.put([c for clicks in done for c in clicks], folder)

    def second_disk(self) -> None:
        """Copies: for websites and buyers, and a second disk."""
        site = self.poison(self.any(YEARS))
        price = self.poison(self.any(PRICES))
        for click in self.chance.sample(self.clicks, len(self.clicks) // 8):
            name = click.path.rpartition("/")[2]
            here = self.chance.choice(
                [
                    (f"{site}/{self.chance.randrange(1 << 24):06x}.jpg", "small"),
                    (f"{price}/{name}", "exact"),
                    (f"disk 2/{click.path}", "exact"),
                    (f"website/{self.poison(self.any(SIZES))}/{name}", "small"),
                ]
            )
            click.copies.append(here)


def _write(job: tuple[Click, Path]) -> list[tuple[str, ...]]:
    """Draws a click and its copies; gives the rows of the truth."""
    click, root = job
    values, _ = photograph([click.piece.pot], click.shot, click.backdrop, SIZE)
    picture = Image.fromarray(values)
    exif = piexif.dump(
        {
            "0th": {piexif.ImageIFD.Make: b"Oke", piexif.ImageIFD.Model: click.camera.encode()},
            "Exif": {
                piexif.ExifIFD.DateTimeOriginal: click.clock.strftime("%Y:%m:%d %H:%M:%S").encode(),
                piexif.ExifIFD.SubSecTimeOriginal: f"{click.shot.seed % 100:02d}".encode(),
            },
        }
    )
    original = jpeg(picture, 93, exif)
    rows = []
    for path, how in [(click.path, "original"), *click.copies]:
        data = original
        if how == "small":
            data = jpeg(picture.resize((224, 168), Image.Resampling.LANCZOS), 80)
        place = root / path
        place.parent.mkdir(parents=True, exist_ok=True)
        if place.exists():
            continue
        place.write_bytes(data)
        rows.append(
            (path, click.path, click.piece.name, click.view, how, click.time.isoformat(),
             str(click.clock == click.time).lower(), str(click.numbered).lower())
        )  # fmt: skip
    return rows


def build(root: Path, pieces: int, seed: int, words: str = "one", jobs: int = 2) -> Path:
    """Writes the tree to `root` and its truth beside it; gives the path of the truth."""
    tree = Tree(pieces, seed, words)
    kinds = {click.path: click.kind for click in tree.clicks}
    truth = root.with_name(root.name + "-truth.csv")
    with (
        ProcessPoolExecutor(jobs) as pool,
        truth.open("w", encoding="utf-8", newline="") as file,
    ):
        rows = csv.writer(file, lineterminator="\n")
        rows.writerow((*COLUMNS, "kind"))
        for written in pool.map(_write, [(c, root) for c in tree.clicks], chunksize=8):
            rows.writerows((*row, kinds[row[1]]) for row in written)
    return truth
