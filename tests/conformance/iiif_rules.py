"""Rules of IIIF that JSON Schema does not hold, as lists of what is wrong.

Written from the text of Presentation API 3.0 and Image API 3.0 and not from the exporter: the tile
arithmetic here is that of the implementation notes, word for word, so that the two can disagree.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from PIL import Image

Json = dict[str, Any]

PRESENTATION_CONTEXT = "http://iiif.io/api/presentation/3/context.json"
IMAGE_CONTEXT = "http://iiif.io/api/image/3/context.json"

LANGUAGE_MAPS = ("label", "summary", "value")
OWN_IDS = {"Manifest", "Collection", "Canvas", "AnnotationPage", "Annotation", "Range"}


def walk(node: Any, inside: str = "") -> Iterator[tuple[str, Json]]:
    """Every object of a document, with the name of the property that holds it."""
    if isinstance(node, dict):
        yield inside, node
        for name, value in node.items():
            yield from walk(value, name)
    elif isinstance(node, list):
        for value in node:
            yield from walk(value, inside)


def manifest_problems(manifest: Json) -> list[str]:
    """What is wrong with a manifest by the text of Presentation API 3.0."""
    problems = [*_common(manifest, "Manifest")]
    canvases = {canvas["id"]: canvas for canvas in manifest.get("items", [])}
    if not canvases:
        problems.append("a manifest must have at least one canvas (5.2)")
    for address, canvas in canvases.items():
        problems += _canvas(address, canvas)
    for _, node in walk(manifest.get("structures", [])):
        if node.get("type") == "Canvas" and node["id"].split("#")[0] not in canvases:
            problems.append(f"a range refers to a canvas of no item: {node['id']} (5.4)")
        if node.get("type") == "SpecificResource":
            canvas = canvases.get(node["source"]["id"], {})
            problems += _fragment(node["selector"]["value"], canvas)
        if node.get("type") == "Range" and not node.get("items"):
            problems.append(f"a range must have items: {node['id']} (5.4)")
    return problems


def collection_problems(collection: Json) -> list[str]:
    """What is wrong with a collection."""
    problems = _common(collection, "Collection")
    for item in collection["items"]:
        if "items" in item or item["type"] not in ("Manifest", "Collection"):
            problems.append(f"a collection must list manifests without their items: {item['id']}")
        if not item.get("label"):
            problems.append(f"a manifest in a collection must have a label: {item['id']} (5.1)")
    return problems


def _common(document: Json, type_: str) -> list[str]:
    problems: list[str] = []
    if document.get("@context") != PRESENTATION_CONTEXT:
        problems.append("the context must be that of Presentation 3 (4.6)")
    if document.get("type") != type_ or not document.get("label"):
        problems.append(f"a {type_} must have that type and a label (5.1, 5.2)")
    ids = Counter(
        node["id"]
        for inside, node in walk(document)
        if node.get("type") in OWN_IDS
        and inside not in ("partOf", "source")
        and ("items" in node or node["type"] == "Annotation")
    )
    problems += [f"an id stands twice: {name}" for name, times in ids.items() if times > 1]
    for inside, node in walk(document):
        problems += _values(inside, node)
        if "id" in node and not re.fullmatch(r"https?://\S+", node["id"]):
            problems.append(f"an id must be an HTTP(S) URI: {node['id']} (3.2)")
        if "navDate" in node and not _is_moment(node["navDate"]):
            problems.append(f"navDate must be an XSD dateTime with a zone: {node['navDate']} (3.1)")
        if "rights" in node and not re.match(
            r"http://(creativecommons\.org/(licenses|publicdomain)|rightsstatements\.org/vocab)/",
            node["rights"],
        ):
            problems.append(f"rights must be CC or RightsStatements.org with http (3.1): {node}")
    return problems


def _is_moment(text: str) -> bool:
    return bool(
        re.fullmatch(
            r"-?\d{4,}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])T([01]\d|2[0-3])(:[0-5]\d){2}"
            r"(\.\d+)?(Z|[+-]\d\d:\d\d)",
            text,
        )
    )


def _values(inside: str, node: Json) -> list[str]:
    """Language maps must be maps of lists of plain strings (4.1); ours hold no HTML (4.3)."""
    problems: list[str] = []
    for name in LANGUAGE_MAPS:
        if name not in node or (name == "value" and "selector" in inside):
            continue
        if name == "value" and node.get("type") == "TextualBody":
            continue
        languages = node[name]
        if not isinstance(languages, dict) or not languages:
            problems.append(f"{name} must be a language map (4.1): {languages!r}")
            continue
        for language, values in languages.items():
            if not re.fullmatch(r"none|[A-Za-z]{2,8}(-[A-Za-z0-9]{1,8})*", language):
                problems.append(f"'{language}' is no language (4.1)")
            if not isinstance(values, list) or not all(isinstance(v, str) and v for v in values):
                problems.append(f"values must be a list of strings: {values!r} (4.1)")
            elif any(v.startswith("<") and v.endswith(">") for v in values):
                problems.append(f"a value reads as HTML: {values!r} (4.3)")
    return problems


def _canvas(address: str, canvas: Json) -> list[str]:
    problems: list[str] = []
    if "#" in address:
        problems.append(f"the id of a canvas must have no fragment: {address} (5.3)")
    if not (canvas.get("width", 0) > 0 and canvas.get("height", 0) > 0):
        problems.append(f"a canvas must have a width and a height: {address} (5.3)")
    for page in canvas["items"]:
        for annotation in page["items"]:
            if annotation["motivation"] != "painting" or annotation["target"] != address:
                problems.append(f"{address} is painted by what has another target (5.3)")
            body = annotation["body"]
            if (body["width"], body["height"]) != (canvas["width"], canvas["height"]):
                problems.append(f"the picture is not of the size of its canvas: {address}")
    for page in canvas.get("annotations", []):
        for annotation in page["items"]:
            target, _, fragment = annotation["target"].partition("#")
            if annotation["motivation"] == "painting" or target != address:
                problems.append(f"a note on {address} must not paint nor point elsewhere (5.3)")
            if fragment:
                problems += _fragment(fragment, canvas)
    return problems


def _fragment(fragment: str, canvas: Json) -> list[str]:
    """A spatial fragment (W3C Media Fragments 1.0, 4.2.2) must lie on its canvas."""
    found = re.fullmatch(r"xywh=(\d+),(\d+),(\d+),(\d+)", fragment)
    if not found or not canvas:
        return [f"no fragment of a canvas: {fragment}"]
    x, y, width, height = map(int, found.groups())
    inside = x + width <= canvas["width"] and y + height <= canvas["height"]
    return [] if inside and width and height else [f"{fragment} reaches beyond its canvas"]


# Image API 3.0


def level0_problems(folder: Path) -> list[str]:
    """What is wrong with a static image service: each declared picture there, of the right size,
    and nothing else."""
    info = json.loads((folder / "info.json").read_text(encoding="utf-8"))
    problems = info_problems(info)
    wanted = declared(info)
    there = {
        path.relative_to(folder).as_posix()
        for path in folder.rglob("*")
        if path.is_file() and path.name != "info.json"
    }
    problems += [f"declared and not there: {path}" for path in sorted(set(wanted) - there)]
    problems += [f"there and not declared: {path}" for path in sorted(there - set(wanted))]
    for path in sorted(set(wanted) & there):
        with Image.open(folder / path) as image:
            if image.size != wanted[path] or image.format != "JPEG":
                problems.append(f"{path} is {image.format} of {image.size}, not {wanted[path]}")
    return problems


def info_problems(info: Json) -> list[str]:
    """What is wrong with an info.json (5.1 to 5.4)."""
    expected = {
        "@context": IMAGE_CONTEXT,
        "type": "ImageService3",
        "protocol": "http://iiif.io/api/image",
        "profile": "level0",
    }
    problems = [f"{n} must be {v}" for n, v in expected.items() if info.get(n) != v]
    if not re.fullmatch(r"https?://\S+[^/]", info.get("id", "")):
        problems.append("the id must be a URI without a slash at its end (5.2)")
    sizes = [(size["width"], size["height"]) for size in info.get("sizes", [])]
    if sizes != sorted(set(sizes)):
        problems.append("sizes must be told apart, and are listed smallest first")
    for width, height in sizes:
        if width > info["width"] or height > info["height"]:
            problems.append(f"a size of {width} by {height} would be larger than the picture")
    return problems


def declared(info: Json) -> dict[str, tuple[int, int]]:
    """The address and size of every picture that a client may ask for by `info`."""
    full = (info["width"], info["height"])
    found = {"full/max/0/default.jpg": full}
    for size in info.get("sizes", []):
        w, h = size["width"], size["height"]
        found[f"full/{w},{h}/0/default.jpg"] = (w, h)
    for tiles in info.get("tiles", []):
        for s in tiles["scaleFactors"]:
            found.update(
                _tiles(full[0], full[1], tiles["width"], tiles.get("height", tiles["width"]), s)
            )
    return found


def _tiles(
    width: int, height: int, tw: int, th: int, s: int
) -> Iterator[tuple[str, tuple[int, int]]]:
    """The tiles at scale factor `s`.

    Source: IIIF Image API 3.0, Implementation Notes, 'Tile Region Parameters' (Python code with
    integer arithmetic); 4.7: the whole picture is `full`, and `max` where not scaled.
    """
    m = 0
    while m * th * s < height:
        n = 0
        while n * tw * s < width:
            xr = n * tw * s
            yr = m * th * s
            wr = tw * s
            if xr + wr > width:
                wr = width - xr
            hr = th * s
            if yr + hr > height:
                hr = height - yr
            ws = tw
            if xr + tw * s > width:
                ws = (width - xr + s - 1) // s
            hs = th
            if yr + th * s > height:
                hs = (height - yr + s - 1) // s
            region = "full" if (wr, hr) == (width, height) else f"{xr},{yr},{wr},{hr}"
            size = "max" if region == "full" and s == 1 else f"{ws},{hs}"
            yield f"{region}/{size}/0/default.jpg", (ws, hs)
            n += 1
        m += 1
