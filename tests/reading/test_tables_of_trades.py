"""The words of other trades: what they name, and what stands beside them and names nothing.

The phrases are invented; forms, materials and faults in them are common words of each trade
(common practice, no source).
"""

from __future__ import annotations

import csv
import io
import re
from collections import defaultdict
from pathlib import Path

import pytest

from archivist.model.observations import Observation, ObservationKind
from archivist.model.records import Attribution, Feature
from archivist.reading.condition import read_condition
from archivist.reading.features import read_features
from archivist.reading.tables import TermRow, load_tables
from archivist.reading.words import Words
from archivist_schemas import schema_file

TABLES = load_tables()
FEATURES = (
    "form",
    "ware",
    "material",
    "technique",
    "glaze",
    "colour",
    "decoration",
    "subject",
    "culture",
    "place",
    "kiln",
)
TRADES = [
    file.name
    for file in schema_file("tables").iterdir()
    if re.fullmatch(r"terms(_[a-z]+)?\.csv", file.name)
]
SHARED = Path(__file__).resolve().parents[3] / "shared"


def labels(text: str, aspect: str) -> set[str]:
    return {
        s.term.label
        for s in read_features(text, TABLES).statements
        if isinstance(s, Feature | Attribution) and s.term is not None and s.aspect == aspect
    }


def seen(text: str) -> list[Observation]:
    statements = read_condition(text, TABLES).statements
    return [s for s in statements if isinstance(s, Observation)]


def rows_of(name: str) -> list[dict[str, str]]:
    text = schema_file("tables", name).read_text(encoding="utf-8")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def as_read(name: str) -> str:
    return " ".join(Words(name).folded)


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("A George III mahogany chest of drawers, four long drawers", "chest of drawers"),
        ("Table clock, gilt brass case, signed on the backplate", "table clock"),
        ("French mantel clock with a bell strike", "mantel clock"),
        ("Oak longcase with a square brass dial", "longcase clock"),
        ("Ebonised bracket clock", "bracket clock"),
        ("Low coffee table in rosewood", "coffee table"),
        ("Pair of cast candlesticks", "candlestick"),
        ("Standuhr, Nussbaum", "longcase clock"),
        ("Bureau plat, placage de bois de violette", "writing table"),
        ("Zilveren suikertang", "sugar tongs"),
        ("Zuckerzange, Silber", "sugar tongs"),
        ("Spilla in oro", "brooch"),
        ("Silver entrée dish and cover", "entrée dish"),
        ("Flintlock pistol, walnut stock", "pistol"),
        ("Aubusson tapestry fragment", "tapestry"),
        ("Wing armchair on cabriole legs", "wing armchair"),
        ("Glass carafe and stopper", "carafe"),
        ("Oval silver teapot and stand", "teapot"),
    ],
)
def test_forms_of_other_trades_are_read_whole(text: str, form: str) -> None:
    assert form in labels(text, "form")


@pytest.mark.parametrize(
    ("text", "material"),
    [
        ("Silver-gilt standing cup", "silver gilt"),
        ("Sheffield plate tray", "Sheffield plate"),
        ("Nussbaum und Eiche", "walnut"),
        ("acajou et bronze doré", "gilt bronze"),
        ("18ct gold brooch with seed pearls", "gold"),
        ("Zijden damast", "damask"),
        ("Kissen aus Samt", "velvet"),
        ("cranberry glass jug", "ruby glass"),
        ("electroplated teapot", "silver plate"),
    ],
)
def test_materials_of_other_trades_are_read(text: str, material: str) -> None:
    assert material in labels(text, "material")


@pytest.mark.parametrize(
    ("text", "technique"),
    [
        ("Radierung auf Bütten", "etching"),
        ("Mezzotint after a painting", "mezzotint"),
        ("Colour woodcut, signed in pencil", "woodcut"),
        ("Lithographie en couleurs", "lithograph"),
        ("Hand-knotted wool pile", "knotted pile"),
        ("Hiramaki-e on a black ground", "maki-e"),
        ("Cire perdue, brown patina", "cast"),
    ],
)
def test_techniques_of_other_trades_are_read(text: str, technique: str) -> None:
    assert technique in labels(text, "technique")


@pytest.mark.parametrize(
    ("text", "aspect", "wrong"),
    [
        ("Sheffield plate tray", "form", "plate"),
        ("Dish with iron-painted reeds", "material", "iron"),
        ("Bowl moulded in relief", "form", "relief"),
        ("Vase with figures in a garden", "form", "figure"),
        ("Vase with mask and ring handles", "form", "ring (jewellery)"),
        ("Maple leaves on a stream", "material", "maple wood"),
        ("Tea bowl, tenmoku glaze", "ware", "Jian ware"),
        ("Dining table with serpentine front", "material", "serpentine (stone)"),
        ("Dragons chasing flaming pearls", "material", "pearl (gem)"),
        ("Bought it a bit later, the bit missing", "form", "rowel spur"),
        ("Achat 21 000", "material", "agate"),
        ("a dish in a Liège collection", "form", "chaise longue"),
    ],
)
def test_a_word_inside_another_is_not_read_for_itself(text: str, aspect: str, wrong: str) -> None:
    assert wrong not in labels(text, aspect)


@pytest.mark.parametrize(
    ("text", "term", "kind"),
    [
        ("Losses to veneer along the plinth", "veneer loss", ObservationKind.DAMAGE),
        ("hallmarks rubbed", "worn mark", ObservationKind.WEAR),
        ("Stockfleckig, Randeinriss", "foxing", ObservationKind.DAMAGE),
        ("trimmed to the platemark", "trimmed sheet", ObservationKind.ALTERATION),
        ("later movement", "replaced movement", ObservationKind.REPAIR),
        ("polished pontil", "pontil", ObservationKind.MAKING),
        ("stone missing", "missing stone", ObservationKind.DAMAGE),
        ("moth holes near one end", "moth damage", ObservationKind.DAMAGE),
        ("soldered repair to the handle", "solder repair", ObservationKind.REPAIR),
        ("trous de vers", "worm damage", ObservationKind.DAMAGE),
        ("thread-cut base", "thread-cut base", ObservationKind.MAKING),
    ],
)
def test_faults_and_repairs_of_other_trades_are_seen(
    text: str, term: str, kind: ObservationKind
) -> None:
    assert (term, kind) in {(o.term.label, o.kind) for o in seen(text)}


@pytest.mark.parametrize(
    "text",
    [
        "lost-wax casting",
        "crepe de chine",
        "stuck in the kiln",
        "chip-carved frieze",
        "teardrop stem",
        "broken-arch pediment",
        "split baluster turnings",
    ],
)
def test_words_of_making_are_no_fault(text: str) -> None:
    assert [o for o in seen(text) if o.kind is ObservationKind.DAMAGE] == []


def test_no_name_stands_for_two_terms_of_the_features() -> None:
    meant: defaultdict[str, set[tuple[str, str]]] = defaultdict(set)
    new = {row.label for name in TRADES if name != "terms.csv" for row in _terms(name)}
    for row in TABLES.terms(*FEATURES):
        for name in row.names:
            meant[as_read(name)].add((row.kind, row.label))
    twice = {
        name: rows for name, rows in meant.items() if len(rows) > 1 and {r[1] for r in rows} & new
    }
    assert twice == {}


def _terms(name: str) -> list[TermRow]:
    here = {(row["kind"], row["label"]) for row in rows_of(name)}
    return [row for row in TABLES.rows if (row.kind, row.label) in here]


def test_what_is_read_only_in_a_column_is_read_nowhere_else() -> None:
    anywhere = {as_read(n) for row in TABLES.terms(*FEATURES) for n in row.names}
    kinds = [f"{aspect} in a column" for aspect in FEATURES]
    rows = TABLES.terms(*kinds)
    assert len(rows) > 50
    assert [n for row in rows for n in row.variants if as_read(n) in anywhere] == []


def test_a_compound_holds_the_word_that_it_silences_and_is_no_term_itself() -> None:
    names: defaultdict[str, set[str]] = defaultdict(set)
    words: defaultdict[str, set[str]] = defaultdict(set)
    for row in TABLES.rows:
        kind = row.kind.removesuffix(" in a column").replace("town", "place")
        for name in row.names:
            names[kind].add(as_read(name))
            words[kind].update(Words(name).folded)
    for row in TABLES.terms("compound"):
        kind = row.more["silences"]
        assert kind in (*FEATURES, "condition")
        if kind != "condition":
            assert [n for n in row.variants if as_read(n) in names[kind]] == []
    held = [
        any(token in words[row.more["silences"]] for token in Words(n).folded)
        for row in TABLES.terms("compound")
        for n in row.variants
    ]
    assert sum(held) > 0.75 * len(held)


def test_towns_are_no_places_of_making_until_words_say_so() -> None:
    towns = TABLES.terms("town")
    assert len(towns) > 250
    assert labels("He lived in Augsburg and sold it in Chicago", "place") == set()
    assert labels("Aubusson", "place") == set()


@pytest.mark.skipif(not SHARED.is_dir(), reason="the vocabularies to check against are not here")
@pytest.mark.parametrize(
    ("vocabulary", "column", "named"),
    [
        ("aat.csv", "aat_id", "Art & Architecture Thesaurus"),
        ("tgn.csv", "tgn_id", "Getty Thesaurus of Geographic Names"),
    ],
)
def test_identifiers_that_sources_name_are_in_the_vocabulary(
    vocabulary: str, column: str, named: str
) -> None:
    path = SHARED / "standards" / "vocab" / vocabulary
    with path.open(encoding="utf-8", newline="") as file:
        rows = {row[column]: row for row in csv.DictReader(file)}
    cited = re.compile(re.escape(named) + r" (\d+) \((.*?)\), Getty")
    count = 0
    for row in TABLES.rows:
        found = cited.match(row.source)
        if found is None:
            assert named not in row.source, row
            continue
        known = rows[found[1]]
        assert found[2] == known.get("label_en", known.get("label"))
        count += 1
    assert count > 40
