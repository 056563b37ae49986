"""Which photographs there are, where the owner kept them, and what each of them shows."""

from dataclasses import dataclass, field, replace
from typing import Any

from scenes import SHOOTS, Shoot, Shot


@dataclass(frozen=True)
class Photograph:
    """One file: its path below the collection, the shot, the stock numbers it shows, its view."""

    path: str
    shoot: str
    shot: Shot
    numbers: tuple[str, ...]
    view: str
    written: dict[str, Any] = field(default_factory=dict)
    minute: int = 0


# The words of the model for what a picture shows, by the kind of shot.
VIEWS = {
    "overall": "overall",
    "scaled": "overall",
    "carded": "overall",
    "side": "side",
    "back": "back",
    "base": "base",
    "foot": "foot rim",
    "mark": "mark",
    "mouth": "mouth",
    "interior": "interior",
    "detail": "detail",
    "damage": "damage",
    "label": "label",
    "group": "group",
    "pair": "group",
    "set": "group",
    "lidded": "overall",
}

# Stock number; folder or file pattern; shoot; piece; the shots. A shot is a kind with, after
# colons: a(ngle), t (place down the wall), w(idth), e(levation), o(rientation), s(pin).
# In a file pattern # is the camera's counter.
# fmt: off
TABLE: tuple[tuple[str, str, str, str, str], ...] = (
    ("HW 0401", "HW 0401 Frechen jug/IMG_#.JPG", "compact", "frechen_jug",
     "overall:o6 side:s140 base foot:a16:w8"),
    ("HW 0402", "HW 0402 Delft charger/IMG_#.JPG", "compact", "delft_charger",
     "overall back detail:a200:w15 damage:a124:w9"),
    ("HW 0403", "Kyōto trip 2007/HW 0403 tenmoku/IMG_#.JPG", "compact", "tenmoku_bowl",
     "overall base interior damage:a38:t0.14:w7"),
    ("HW 0404", "Arbery estate/HW 0404 (#).jpg", "estate", "shino_bowl",
     "overall base interior detail:a-20:t0.5:w7"),
    ("HW 0405", "Kyōto trip 2007/HW 0405 Oribe/IMG_#.JPG", "compact", "oribe_dish",
     "overall back damage:a45:w10 side"),
    ("HW 0406", "HW 0406 lamp/IMG_#.JPG", "compact", "lamp_bottle",
     "overall:o8 damage:kmark base mouth"),
    ("HW 0407", "HW 0407 moon jar/IMG_#.JPG", "grey", "moon",
     "overall side:s150:o6 base foot mouth damage:a28:t0.1:w16 scaled:s-60"),
    ("HW 0408", "HW 0408 buncheong/IMG_#.JPG", "compact", "buncheong_bottle",
     "overall:o6 base detail:a40:t0.6:w11"),
    ("HW 0410", "Arbery estate/HW 0410 cup (#).jpg", "estate", "cup",
     "overall base interior"),
    ("HW 0412", "HW 0412 Shigaraki/IMG_#.JPG", "compact", "shigaraki_jar",
     "overall side:s140:o6 base mouth detail:a18:t0.35:w14"),
    ("HW 0413", "HW 0413 black tea bowl/DSC_#.JPG", "dark", "raku_bowl",
     "overall base mark interior damage:kmouth:e46"),
    ("HW 0414", "Vauxmarin/HW 0414 jug/IMG_#.JPG", "grey", "faience_jug",
     "overall:o6 side:s90 mark:o3 detail:a-10:t0.55:w9"),
    ("HW 0415", "HW 0415 Kutani/DSC_#.JPG", "dark", "kutani_dish",
     "overall back mark:w11"),
    ("HW 0416", "HW 0416 dish, wrong mark/DSC_#.JPG", "grey", "chenghua_dish",
     "overall back mark:o3 damage:a35:w8 side"),
    ("HW 0417", "HW 0417 celadon bowl/DSC_#.JPG", "dark", "celadon_bowl",
     "overall interior base damage:a19:t0.04:w7 detail:a-40:t0.55:w9 carded"),
    ("HW 0418", "HW 0418 maebyeong/IMG_#.JPG", "grey", "maebyeong_vase",
     "overall:o6 side:s180 base mouth"),
    ("HW 0419", "Arbery estate/HW 0419 (#).jpg", "estate", "grass_bottle",
     "overall:o8 side:s170 base foot detail:a-20:t0.6:w10"),
    ("HW 0420", "HW 0420 Bizen/DSC_#.JPG", "dark", "bizen_bottle",
     "overall:o6 base mark detail:a20:t0.35:w9"),
    ("HW 0421", "2014 fair/0421 (#).jpg", "fair", "wave_bowl",
     "overall interior damage:a-20:t0.12:w9 foot mark"),
    ("HW 0422", "2014 fair/0422 (#).jpg", "fair", "drug_jar",
     "overall:o6 side:s150 base damage:a27:t0.03:w6"),
    ("HW 0423", "2014 fair/0423 (#).jpg", "fair", "westerwald_mug",
     "overall side:s180:o6 base mouth"),
    ("HW 0424", "HW 0424/DSC_#.JPG", "dark", "karatsu_bowl",
     "overall base interior damage:kfoot:a10:w7:e12"),
    ("HW 0424", "Vauxmarin/HW 0424 plate/IMG_#.JPG", "grey", "small_delft_plate",
     "overall back damage:a32:w8"),
    ("HW 0426", "HW 0426 stapled vase/IMG_#.JPG", "grey", "takatori_vase",
     "overall:o6 damage:a5:t0.2:w8 base mouth"),
    ("HW 0427", "HW 0427 big dish/IMG_#.JPG", "grey", "riveted_dish",
     "overall back damage:kstaples detail:a180:w18"),
    ("HW 0428", "HW 0428 slipware/IMG_#.JPG", "grey", "slipware_dish",
     "overall back damage:a-25:w10"),
    ("HW 0429", "HW 0429 Pump Lane jug's twin/IMG_#.JPG", "compact", "green_jug",
     "overall:o8 side:s180 base mouth"),
    ("HW 0430", "Vauxmarin/HW 0430 lobed/IMG_#.JPG", "grey", "lobed_dish",
     "overall back side"),
    ("HW 0431", "HW 0431 Satsuma/IMG_#.JPG", "compact", "satsuma_vase",
     "overall:o6 mark detail:a20:t0.5:w8"),
    ("HW 0432", "HW 0432 inlaid bowl/DSC_#.JPG", "dark", "inlaid_bowl",
     "overall interior base damage:a33:t0.05:w7"),
    ("HW 0433", "HW 0433/DSC_#.JPG", "dark", "ki_seto_bottle",
     "overall:s75 mouth base"),
    ("HW 0434", "Arbery estate/HW 0434 (#).jpg", "estate", "awaji_bottle",
     "overall:o6 base mouth"),
    ("HW 0435", "HW 0435 tortoiseshell/IMG_#.JPG", "grey", "tortoiseshell_plate",
     "overall back detail:a160:w15"),
    ("HW 0436", "HW 0436 caddy/DSC_#.JPG", "dark", "tea_caddy",
     "lidded:pcaddy_lid side:s90 base mouth"),
    ("HW 0437", "HW 0437 teapot/IMG_#.JPG", "grey", "teapot",
     "lidded:pteapot_lid side:s180 mark damage:kspout"),
    ("HW 0438", "HW 0438 gourd/_DSC#.JPG", "white", "sanda_gourd",
     "overall:o8 base scaled:s80"),
    ("HW 0439", "HW 0439 faceted/DSC_#.JPG", "dark", "faceted_bottle",
     "overall:o6 base mouth"),
    ("HW 0441", "Vauxmarin/HW 0441 cider/IMG_#.JPG", "grey", "cider_jug",
     "overall:o6 base damage:a90:t0.12:w9:e15"),
    ("HW 0442", "Telephone/HW0442 Hagi #.jpg", "telephone", "hagi_bowl",
     "overall:o6 base:o8 interior damage:a-15:t0.1:w7 foot:o3"),
    ("HW 0443", "Telephone/HW0443 #.jpg", "telephone", "cream_jug",
     "overall:o6 damage:a78:t0.25:w6 base"),
    ("HW 0444", "HW 0444 what is it/_DSC#.JPG", "white", "censer",
     "overall label:w9 side:s60"),
    ("HW 0112", "scans/0112 albarello #.jpg", "slides", "albarello_old",
     "overall base damage:a12:t0.03:w7"),
    ("HW 0118", "scans/0118 jar #.jpg", "slides", "tamba_jar", "overall mouth"),
    ("HW 0123", "scans/0123 white vase #.jpg", "slides", "white_vase",
     "overall damage:a33:t0.03:w5"),
    ("HW 0130", "scans/0130 dish #.jpg", "slides", "plain_dish", "overall back"),
    ("", "unsorted/DSC_#.JPG", "white", "garden_pot", "overall:o6 base mouth"),
    ("", "unsorted/P#.jpg", "telephone", "spare_bowl", "overall:o6 interior base"),
)

# fmt: on

SERIES = {
    "compact": 12,
    "estate": 1,
    "grey": 2210,
    "dark": 184,
    "fair": 1,
    "telephone": 20171022,
    "white": 907,
    "slides": 1,
}

CAPTIONS = {
    ("HW 0407", "overall"): {"caption": "HW 0407 moon jar. Hairline from rim on the right side"},
    ("HW 0407", "damage"): {"iptc_caption": "Hairline from rim, about 9 cm, stained"},
    ("HW 0416", "mark"): {"caption": "Mark 大明成化年製 on HW 0416, an Arita dish"},
    ("HW 0417", "overall"): {"xmp_title": "Celadon bowl HW 0417, incised petals"},
    ("HW 0418", "overall"): {"iptc_caption": "Maebyeong, HW 0418"},
    ("HW 0420", "mark"): {"caption": "HW 0420, mark on base"},
    ("HW 0432", "overall"): {"xmp_title": "Inlaid bowl, Korea"},
}

# fmt: off
EXTRA: tuple[Photograph, ...] = (
    Photograph("HW 0409 PAIR/IMG_2301.JPG", "grey", Shot(("pair_one", "pair_two"), "pair"),
               ("HW 0409",), "group", minute=4000),
    Photograph("HW 0409 PAIR/IMG_2302.JPG", "grey", Shot(("pair_one",), "overall"),
               ("HW 0409",), "overall", {"orientation": 6}, 4002),
    Photograph("HW 0409 PAIR/IMG_2303.JPG", "grey", Shot(("pair_two",), "overall"),
               ("HW 0409",), "overall", {"orientation": 6}, 4003),
    Photograph("HW 0409 PAIR/IMG_2304.JPG", "grey", Shot(("pair_one",), "base"),
               ("HW 0409",), "base", minute=4006),
    Photograph("HW 0409 PAIR/IMG_2305.JPG", "grey", Shot(("pair_two",), "base"),
               ("HW 0409",), "base", minute=4008),
    Photograph("HW 0409 PAIR/IMG_2306.JPG", "grey",
               Shot(("pair_one",), "foot", angle=16, width=8), ("HW 0409",), "foot rim",
               minute=4009),
    Photograph("HW 0409 PAIR/IMG_2307.JPG", "grey",
               Shot(("pair_two",), "damage", angle=38, at=0.03, width=6), ("HW 0409",), "damage",
               minute=4011),
    Photograph("Arbery estate/HW 0410 all.jpg", "estate",
               Shot(("cup", "cup_nicked", "cup_cover"), "set"), ("HW 0410",), "group", minute=55),
    Photograph("Arbery estate/HW 0410 nick.jpg", "estate",
               Shot(("cup_nicked",), "damage", angle=22, at=0.05, width=4), ("HW 0410",), "damage",
               minute=58),
    Photograph("Korean group 0407 0418 0419 0439.JPG", "grey",
               Shot(("moon", "maebyeong_vase", "grass_bottle", "faceted_bottle"), "group"),
               ("HW 0407", "HW 0418", "HW 0419", "HW 0439"), "group",
               {"caption": "Four Korean pieces for the catalogue, never printed"}, minute=1200),
)


# fmt: on


def _photographs() -> list[Photograph]:
    counters = dict(SERIES)
    minutes: dict[str, int] = dict.fromkeys(SHOOTS, 0)
    out = []
    for number, pattern, shoot, piece, shots in TABLE:
        by_piece = "(#)" in pattern or " #." in pattern
        for count, words in enumerate(shots.split(), start=1):
            kind, *options = words.split(":")
            shot = Shot((piece,), kind)
            written: dict[str, Any] = {}
            for option in options:
                shot, written = _option(option, shot, written)
            minutes[shoot] += 2 if count > 1 else 23
            if not by_piece:
                counters[shoot] += 1 if count > 1 else 4
            shown = str(count) if by_piece else f"{counters[shoot]:04d}"
            name = pattern.replace("#", shown)
            if name.startswith("2014 fair") and kind in ("foot", "mark"):
                name = f"2014 fair/{number[3:]} {kind}.jpg"
            view = VIEWS[kind]
            written = {**written, **CAPTIONS.get((number, kind), {})}
            out.append(
                Photograph(
                    name, shoot, shot, (number,) if number else (), view, written, minutes[shoot]
                )
            )
    return [*out, *EXTRA]


def _option(option: str, shot: Shot, written: dict[str, Any]) -> tuple[Shot, dict[str, Any]]:
    letter, value = option[0], option[1:]
    match letter:
        case "a":
            return replace(shot, angle=float(value)), written
        case "t":
            return replace(shot, at=float(value)), written
        case "w":
            return replace(shot, width=float(value)), written
        case "e":
            return replace(shot, elevation=float(value)), written
        case "s":
            return replace(shot, spin=float(value)), written
        case "p":
            return replace(shot, pieces=(*shot.pieces, value)), written
        case "k":
            return replace(shot, kind=value), written
        case _:
            return shot, {**written, "orientation": int(value)}


PHOTOGRAPHS = _photographs()

# The same bytes kept twice, and small copies made for a page that was never put up.
TWICE = (
    ("HW 0417 celadon bowl", "overall", "to print/celadon bowl.JPG"),
    ("HW 0431 Satsuma", "overall", "to print/Copy of Satsuma.JPG"),
    ("scans/0123", "overall", "HW 0123/scan0004.jpg"),
)
SMALL = (
    ("HW 0407 moon jar", "overall", "for web/HW 0407 moon jar small.jpg"),
    ("HW 0417 celadon bowl", "interior", "for web/HW 0417 bowl small.jpg"),
    ("HW 0416 dish", "overall", "for web/HW 0416 dish small.jpg"),
    ("HW 0418 maebyeong", "overall", "for web/HW 0418 small.jpg"),
)
# Scans kept in other formats: path of the JPEG that would be, path of the file.
OTHERWISE = (
    ("scans/0118 jar 2.jpg", "scans/0118 jar mouth.png"),
    ("scans/0130 dish 2.jpg", "scans/0130 dish back.tif"),
)


def shoot_of(photograph: Photograph) -> Shoot:
    """Its camera; where it was held upright the picture is higher than wide."""
    shoot = SHOOTS[photograph.shoot]
    wide, high = shoot.size
    if photograph.written.get("orientation") in (6, 8):
        return replace(shoot, size=(high, wide))
    return shoot
