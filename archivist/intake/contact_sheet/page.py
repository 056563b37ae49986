"""The contact sheet: pages of small pictures to look through, each a file that needs no other.

A page asks for nothing from anywhere: pictures and style are in it, there are no scripts, and its
content security policy says so.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from html import escape
from importlib.resources import files
from itertools import islice
from pathlib import Path

from archivist.catalogue.archive import Archive
from archivist.intake.contact_sheet.layout import (
    CAMERA,
    CAMERA_CLOCK,
    HEADINGS,
    THOUGHT,
    Line,
    Part,
    cells_of,
    region_words,
)
from archivist.intake.contact_sheet.lines import NO_RECORD, LineGroup, Sheet
from archivist.intake.contact_sheet.thumbnails import with_thumbnails
from archivist.model import Certainty

MOST_ON_A_PAGE = 400
"""Photographs on one page: about 5 MB, which any browser opens at once."""

MOST_DOUBTS = 40

_WORKBOOK = "workbook-sha256"

_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"


def pages_of(sheet: Sheet) -> list[list[LineGroup]]:
    """The groups parted into pages; a group too large for one goes on on the next."""
    pages: list[list[LineGroup]] = [[]]
    room = MOST_ON_A_PAGE
    for group in sheet.groups:
        lines = iter(group.lines)
        while part := tuple(islice(lines, MOST_ON_A_PAGE)):
            if len(part) > room and pages[-1]:
                pages.append([])
                room = MOST_ON_A_PAGE
            pages[-1].append(
                LineGroup(group.key, group.name, group.title, group.certainty, group.why, part)
            )
            room -= len(part)
    return pages


def write_pages(
    archive: Archive,
    sheet: Sheet,
    folder: Path,
    stem: str,
    progress: Callable[[int], None] = lambda amount: None,
    workbook: str = "",
) -> list[Path]:
    """Writes the pages as `stem`.html, `stem`-2.html ...; gives their paths.

    `workbook` is the SHA-256 of the workbook beside them, by which `workbook_of` tells later
    whether it was edited.

    Small pictures are written as they are made: memory does not grow with their number. Pages
    that an earlier, longer sheet left behind are removed.
    """
    parts = pages_of(sheet)
    remark = f'<meta name="{_WORKBOOK}" content="{workbook}">\n' if workbook else ""
    paths = [_path(folder, stem, number) for number in range(1, len(parts) + 1)]
    pictures = with_thumbnails(archive, (x for groups in parts for g in groups for x in g.lines))
    for number, (groups, path) in enumerate(zip(parts, paths, strict=True), start=1):
        beside = path.with_name(f"{path.name}.new")
        try:
            with beside.open("w", encoding="utf-8", newline="\n") as page:
                for piece in _page(sheet, parts, number, groups, paths, pictures, remark):
                    page.write(piece)
                    progress(piece.startswith("<figure"))
            beside.replace(path)
        except BaseException:
            beside.unlink(missing_ok=True)
            raise
    number = len(paths) + 1
    while (left := _path(folder, stem, number)).exists():
        with suppress(OSError):
            left.unlink()
        number += 1
    return paths


def workbook_of(folder: Path, stem: str) -> str:
    """The SHA-256 of the workbook that was written with the pages, '' where they do not say."""
    with suppress(OSError), _path(folder, stem, 1).open(encoding="utf-8") as page:
        found = re.search(rf'name="{_WORKBOOK}" content="([0-9a-f]{{64}})"', page.read(2048))
        return found[1] if found else ""
    return ""


def _path(folder: Path, stem: str, number: int) -> Path:
    return folder / (f"{stem}.html" if number == 1 else f"{stem}-{number}.html")


def _page(
    sheet: Sheet,
    parts: Sequence[Sequence[LineGroup]],
    number: int,
    groups: Sequence[LineGroup],
    paths: Sequence[Path],
    pictures: Iterator[tuple[Line, str]],
    remark: str,
) -> Iterator[str]:
    of = f", page {number} of {len(paths)}" if len(paths) > 1 else ""
    style = files(__package__).joinpath("page.css").read_text(encoding="utf-8")
    yield (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">\n'
        f'{remark}<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>Contact sheet: {escape(sheet.title)}{of}</title>\n<style>\n{style}</style>\n"
        '</head>\n<body>\n<a class="skip" href="#photographs">To the photographs</a>\n'
    )
    yield _header(sheet, of)
    if number == 1:
        yield _doubts(sheet)
    yield _contents(parts, number, paths)
    yield '<main id="photographs" tabindex="-1">\n'
    for place, group in enumerate(groups):
        yield _section_head(group, place)
        for _ in group.lines:
            line, picture = next(pictures)
            yield _figure(line, picture)
        yield "</div>\n</section>\n"
    yield "</main>\n"
    yield _turning(number, paths)
    yield "</body>\n</html>\n"


def _header(sheet: Sheet, of: str) -> str:
    lines = sheet.lines
    open_ = sum(not settled(line) for line in lines)
    reviewed = sum(line.reviewed for line in lines)
    pieces = {p.depiction.object for line in lines for p in line.pieces}
    facts = [
        _count(len(lines), "photograph"),
        _count(len(pieces), "piece"),
        f"{reviewed} reviewed",
        f"{open_} to look at" if open_ else "none in doubt",
    ]
    kind = "of the archive:" if sheet.of_archive else "of the proposal"
    return (
        "<header>\n<h1>Contact sheet</h1>\n"
        f"<p class=of>{kind} {escape(sheet.title)}{of}</p>\n"
        f"<p class=facts>{' · '.join(facts)}</p>\n"
        "<p class=how>To correct something, write it in the workbook that lies beside this page "
        "and hand it back: <code>archivist review --hand-back FILE</code>. Nothing on this page "
        "can be changed.</p>\n"
        "<fieldset class=show><legend>Show</legend>\n<label><input type=radio name=show id=all "
        "checked> everything</label>\n<label><input type=radio name=show id=open> only what is "
        "not certain</label>\n</fieldset>\n</header>\n"
    )


def _doubts(sheet: Sheet) -> str:
    if not sheet.doubts:
        return ""
    shown = "".join(f"<li>{escape(doubt)}</li>\n" for doubt in sheet.doubts[:MOST_DOUBTS])
    more = len(sheet.doubts) - MOST_DOUBTS
    rest = f"<li>and {more} more in the proposal</li>\n" if more > 0 else ""
    return (
        f"<section class=doubts aria-labelledby=doubts><h2 id=doubts>Open questions</h2>\n<ol>\n"
        f"{shown}{rest}</ol>\n</section>\n"
    )


def _contents(parts: Sequence[Sequence[LineGroup]], number: int, paths: Sequence[Path]) -> str:
    """Links to every piece, on whichever page it is."""
    links = []
    for page, (groups, path) in enumerate(zip(parts, paths, strict=True), start=1):
        for place, group in enumerate(groups):
            to = f"#g{place}" if page == number else f"{escape(_href(path))}#g{place}"
            doubt = "" if group_settled(group) else " <span class=mark>?</span>"
            links.append(f'<li><a href="{to}">{escape(_called(group))}</a>{doubt}</li>')
    return f'<nav aria-label="Pieces"><ul>{"".join(links)}</ul></nav>\n'


def _called(group: LineGroup) -> str:
    """A group in a list of all: its number, or where the photographs of a piece without one lie."""
    if group.name != NO_RECORD:
        return group.name
    return group.title if len(group.lines) > 1 and group.title else group.lines[0].path


def _href(path: Path) -> str:
    from urllib.parse import quote

    return quote(path.name)


def _turning(number: int, paths: Sequence[Path]) -> str:
    """Links to the page before and the page after."""
    if len(paths) == 1:
        return ""
    links = []
    if number > 1:
        links.append(f'<a href="{_href(paths[number - 2])}" rel=prev>Page {number - 1}</a>')
    if number < len(paths):
        links.append(f'<a href="{_href(paths[number])}" rel=next>Page {number + 1}</a>')
    return f'<nav class=turn aria-label="Pages">{" ".join(links)}</nav>\n'


def settled(line: Line) -> bool:
    """Whether nothing is asked about a photograph: it is certain or reviewed, and of a piece."""
    if line.reviewed:
        return True
    return line.certainty is Certainty.CERTAIN and bool(line.pieces) and "unknown" not in line.views


def group_settled(group: LineGroup) -> bool:
    """Whether nothing is asked about any photograph of a group."""
    return all(settled(line) for line in group.lines)


def _section_head(group: LineGroup, place: int) -> str:
    state = "settled" if group_settled(group) else "open"
    alone = " alone" if len(group.lines) == 1 and len(group.lines[0].pieces) < 2 else ""
    title = f" <span class=title>{escape(group.title)}</span>" if group.title else ""
    sure = "" if group.certainty is Certainty.CERTAIN else group.certainty.value
    told = {reason for line in group.lines for reason in line.why}
    why = "; ".join(reason for reason in group.why if reason not in told)
    if len(group.lines) == 1 and group.name == NO_RECORD:
        why = ""  # nothing is put together with it
    words = ": ".join(w for w in (sure, why) if w)
    reason = f"<p class=why>{escape(words)}</p>\n" if words else ""
    count = _count(len(group.lines), "photograph")
    return (
        f'<section class="{state}{alone}" aria-labelledby=g{place}>\n'
        f"<div class=head><h2 id=g{place}>{escape(group.name)}{title} "
        f"<span class=count>{count}</span></h2>\n{reason}</div>\n<div class=sheet>\n"
    )


def _figure(line: Line, picture: str) -> str:
    cells = cells_of(line)
    same = " same" if line.clock == line.taken else ""
    names = ", ".join(dict.fromkeys(p.name for p in line.pieces)) or "no known piece"
    alt = f"{line.views} of {names}"
    state = "settled" if settled(line) else "open"
    image = (
        f'<img src="{picture}" alt="{escape(alt, quote=True)}">'
        if picture
        else "<span class=none>no picture can be shown</span>"
    )
    view = escape(line.views) if line.views != "unknown" else "view unknown"
    rows = [
        ("file", "File", cells[HEADINGS[Part.FILE]]),
        ("said", "Pieces", cells[HEADINGS[Part.PIECE]] if len(line.pieces) > 1 else ""),
        ("said", "Caption", cells[HEADINGS[Part.CAPTION]]),
        ("said", "Region", cells[HEADINGS[Part.REGION]]),
        ("said", "Who may see it", cells[HEADINGS[Part.AUDIENCE]]),
        ("copyof", "Copy of", cells[HEADINGS[Part.COPY]]),
        ("taken", "Taken", cells[HEADINGS[Part.TAKEN]]),
        ("camera", CAMERA, cells[CAMERA]),
        ("camera clock" + same, CAMERA_CLOCK, cells[CAMERA_CLOCK]),
        ("thought", "Thought", cells[THOUGHT]),
    ]
    listed = "".join(
        f'<dt>{escape(name)}</dt><dd class="{kind}">{escape(words)}</dd>'
        for kind, name, words in rows
        if words
    )
    copy = " copy" if line.copy_of else " several" if len(line.pieces) > 1 else ""
    return (
        f'<figure class="{state}{copy}"><div class=picture><div class=frame>{image}'
        f"{_regions(line, picture)}</div></div>"
        f"<figcaption><p class=view>{view} <span class=flag>{_flag(line)}</span></p>"
        f"<dl>{listed}</dl></figcaption></figure>\n"
    )


def _flag(line: Line) -> str:
    """What is open about a photograph, in a word or two."""
    if line.reviewed:
        return "reviewed"
    if line.copy_of:
        return escape(line.relation or "copy")
    if not line.pieces:
        return "which piece?"
    if line.certainty is not Certainty.CERTAIN:
        return f"{line.certainty.value} piece" if "unknown" in line.views else line.certainty.value
    return "which view?" if "unknown" in line.views else "certain"


def _regions(line: Line, picture: str) -> str:
    """The places of pieces in a picture, drawn over it."""
    drawn = []
    for piece in line.pieces if picture else ():
        region = piece.depiction.region
        if region is None:
            continue
        box = (
            f"left:{100 * region.x / region.reference_width:.2f}%;"
            f"top:{100 * region.y / region.reference_height:.2f}%;"
            f"width:{100 * region.width / region.reference_width:.2f}%;"
            f"height:{100 * region.height / region.reference_height:.2f}%"
        )
        where = f"{piece.name} at {region_words(region)}"
        drawn.append(
            f'<span class=region style="{box}" title="{escape(where, quote=True)}">'
            f"<b>{escape(piece.name)}</b></span>"
        )
    return "".join(drawn)


def _count(number: int, one: str) -> str:
    return f"{number:,} {one}" if number == 1 else f"{number:,} {one}s"
