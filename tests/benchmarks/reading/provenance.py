"""How well provenance is split into events, on the provenance of open museum data.

Run: python tests/benchmarks/reading/provenance.py

SAMPLE is 200 rows drawn with random.Random(977).sample(rows, 200) and checked by hand: where each
event begins, in characters, by the row's `source_id`. The splits were proposed by the splitter,
each text was then read against them and five were corrected (a remark signed with initials, 'Ltd.'
before a place, a sale after a full stop that belongs to the house before it, a stray full stop and
a stray semicolon). Rules had been written on another sample, of seed 20261.
"""

from __future__ import annotations

import csv
import time
from collections import Counter
from pathlib import Path

from archivist.model.provenance import ProvenanceEvent
from archivist.reading.provenance import print_provenance, read_provenance
from archivist.reading.tables import load_tables
from archivist.reading.words import Words, fillers

DATA = Path(__file__).parents[4] / "shared" / "data" / "provenance.csv"

SAMPLE = {
    "21819b92-7594-4e9b-955e-8cc6564db3dc": "0 31 60 129 220",
    "e38316d6-7e20-4e3b-b12d-3338ffd85473": "0 58 111",
    "351dd6a1-0d5d-4d3d-b5fe-f7659da910d6": "0",
    "b2892423-db33-4517-a3d0-07801f332b7e": "0",
    "8bfcaf8c-8e29-49a8-9e16-5c8e83e31257": "0 88",
    "e62839ea-3962-4ff2-aeca-a6d9db9766fe": "0",
    "b3c6443e-c2a5-40af-a59a-9734f85ea4e6": "0",
    "802a4f89-0aab-42c2-a694-2b368651a3ef": "0",
    "77509": "0 82",
    "63241528-023f-4e2f-8b35-4608df8e2ea5": "0",
    "9528f16f-6845-4c67-abc0-c687661cf21f": "0 47 88 127 192",
    "23314": "0 42",
    "58dfa1e3-3fda-4a4a-9481-e766b4d494ed": "0 33 98",
    "c8936e99-215d-4088-aacf-8767e1c93ae7": "0",
    "64cbaea6-d7af-4d2d-802c-f2d20085e242": "0 26 85",
    "18566": "0 37",
    "cma-1977-47": "0 46 135",
    "9e5b8e83-d4f2-4e2f-81fa-24f27cf2bfc5": "0",
    "685a4254-5eee-42cc-b5fe-992f222f01f3": "0 43 81",
    "293128f0-b909-4b18-81ec-8b627e438f2a": "0 38 113",
    "c9e4a38f-68aa-495f-b26c-ca2f6bb32660": "0",
    "15902": "0 35 78 116",
    "5051": "0",
    "67091": "0 65",
    "92b5bd08-7a59-4855-83a8-cf485c2b9d6a": "0 44 82 193",
    "28c244eb-da33-421e-8c28-0d179da244a8": "0 30 89 159",
    "c2754285-afac-422d-b190-6c06d28873ef": "0 70 179",
    "cma-1979-18": "0 71 152",
    "edd937b5-3338-4f21-9258-6bd136b54e83": "0 33 66 109 161 215 306",
    "bea0e63e-1e60-4fa1-bd3b-d18c0523c8de": "0 37 83 133",
    "08f039d7-145f-426d-99b4-f526b1b37ef5": "0 52 120",
    "cma-2025-207": "0 71",
    "9bf1e05b-b546-45fa-883c-a7e19c5d064c": "0 54 88",
    "3da2b151-ed2c-4707-994f-6a6345db0f01": "0",
    "a90bcc7f-1139-48b1-88cb-2dfedae9f147": "0 36",
    "40ded416-d7f0-4c87-9434-a1632b59f352": "0 48",
    "126": "0 30 79 115",
    "16563": "0 46 74",
    "1640": "0",
    "b305e4a9-e7b7-4cbb-b4b8-aad78f9be4b7": "0",
    "eee5fa30-0647-49cd-a744-b5edb69c0f22": "0 27 51",
    "08e1fb87-ca17-4480-b9f3-2bd7709b2ba5": "0 62 160",
    "069c2afd-1423-46eb-b1bc-fc0735e91836": "0 27 87 120",
    "c1985c7c-1d82-4273-8e22-47c6a9bbb09d": "0",
    "72a54f4b-d159-45fc-b778-9071cdb299b9": "0 28 69",
    "9e83ba14-3d17-4423-9796-d45a82bf52e1": "0",
    "artic-21514": "0 226 262",
    "17303": "0 22",
    "3acab4a3-b83b-4ae4-abfd-a400c5cd1a5f": "0 48",
    "8fcb7b6f-2873-4b19-99bc-f47c552a2cd4": "0",
    "ac67f599-530c-460f-b085-3575d53b160d": "0",
    "765d1998-46b0-4ef4-b23e-bb137e0174a3": "0 66",
    "89789": "0 44",
    "82385": "0 71",
    "2d95fed5-92fc-4280-b9da-ab5bf02d2bee": "0",
    "7c1276f2-d4d7-4d7c-98fe-7a9b554dfefd": "0 25 45 70 105",
    "247b27b0-9cbd-4329-9db4-0ee5091ab8f5": "0 56 111 198",
    "61faa453-2454-40f9-ae90-2a6f4fbc12b8": "0",
    "99c6efa2-dbc1-45b3-bfb7-f4b30b5055d0": "0",
    "cma-1987-75": "0",
    "14136": "0 23",
    "bd533892-856a-471a-ad62-3537ce8662d6": "0 19",
    "65190": "0 44 111",
    "68998": "0 32 78",
    "67247": "0 65 129",
    "c4bf9311-5232-4a58-a7a3-1284e523b7e1": "0 24 80 192 266",
    "a186aef5-ac53-45a3-baa2-4376c93475ca": "0 41",
    "b1e906a3-996d-47e4-a97b-f7d35ec3a144": "0 75 137 239",
    "cma-1968-365": "0 77",
    "2759": "0 21 55",
    "22d15b7c-3765-4922-a691-19b22bee299a": "0 27 57 125 182 273 364",
    "945defc6-5947-4721-8bb4-9a56129b668c": "0",
    "504e8581-a8bb-42cf-9f8a-da358dd5728d": "0 20 35 116 168",
    "fd73bdf2-5697-4348-9a49-1cc4bfe73515": "0 40 83 174",
    "a1c000ad-7933-4e15-b9ca-71aa8f737bd5": "0 45",
    "2cc33a98-ee0a-4d35-974c-412057a4b0b4": "0",
    "41e55647-2db1-43c3-8fac-f5fbfe239510": "0",
    "05ad5ca1-0128-4c0a-b3c8-fc85a902897b": "0 42 123 188 260",
    "4fffe909-18b0-47fd-94e1-1f7a93492581": "0",
    "793": "0 20",
    "4dd7d080-275d-4e22-9f60-799d3dc4a9c2": "0",
    "1825": "0 22",
    "c0938972-6806-455b-bd51-2023b5c4a0fe": "0 80 114",
    "d42f73a6-66c6-4b12-b02a-26f561b88b28": "0 67 103",
    "332a0117-36ce-4814-83db-03797f774476": "0 138",
    "5cad795b-a2ed-419d-ba46-8a0ebcc9ceca": "0",
    "fc6278b7-2ffd-4749-a016-5e04d6af9005": "0 26 102",
    "d6a3acf2-05a4-4733-b7f8-e28786554f2f": "0 51 82 150 187 258 336",
    "cma-1967-145": "0 85",
    "cma-1966-375": "0 73",
    "f6244ed5-5c97-4d73-9a12-226ef827a62a": "0",
    "32543": "0 36",
    "991707a4-af61-454e-8d17-eacd2e44be14": "0",
    "f7fe7406-d3ad-405e-b172-93a8dfe0643e": "0 33 102 158 216 272 332 406 469 549 568 624",
    "18f251ab-2a8e-46aa-8a8b-f453507c1cc2": "0 46 84",
    "72638": "0 35",
    "3418f9e9-49ff-41e2-85b0-42d005a5a116": "0 58 107 230 374 425 525",
    "391f72bc-c276-495a-9563-343cf8774e66": "0",
    "fed33bf0-cf1b-47bc-b35a-34439985cd5d": "0 59",
    "13ed7516-5215-47de-8da8-80ad5af9f14e": "0 53",
    "6049": "0 38",
    "fbbfce87-f004-41c4-ab92-bae14f073c7e": "0 70",
    "6d070f37-75d9-4bff-9328-14abfb0136f3": "0 26",
    "1d80c196-c057-40c5-b316-5a3d01e964c5": "0 35 73 119",
    "cma-1997-99": "0 47 101 142 248",
    "362d9b49-939a-45b3-8496-3cbfb4b3e955": "0",
    "d64f07d1-bba8-4054-9c98-dcfa5a48e487": "0 25 75 136",
    "d7d003f4-0bc1-49e0-9109-251f12798463": "0 47 137 226",
    "a0e7d0f0-7092-4c8e-ad98-97bf06f8be19": "0 36 79 170",
    "7257f909-a19f-47c0-af20-a1b1d50d5b54": "0 33 72",
    "5348a69d-e094-4185-abc6-3ccd24d9486c": "0 57",
    "1c34f8df-10ec-432a-b3ed-239131cf9a4a": "0 16 73 142",
    "04e14248-1138-4840-b670-b93b33ab6c36": "0",
    "83759": "0 26 56",
    "34481": "0 59 118 175",
    "a021bec0-9ca3-4c78-a442-89724643f37a": "0 32 105 145 177 233",
    "bcdda8de-bd0c-4788-be98-6e5da5f563ce": "0",
    "abe1e6df-b2c6-4b64-a5b1-ee0a8fa37990": "0",
    "1cd649b8-8de1-4a7f-859a-4381afdc34e3": "0 41",
    "14491": "0 27",
    "1755": "0 44 89",
    "cca634a1-a2b4-4248-adad-0393c73b3256": "0 49 95",
    "c680cb62-c69b-466d-9047-b3f61459b080": "0",
    "e4908b11-db5f-4807-a3fa-0f5fa6f55617": "0",
    "38c54ada-71e7-4deb-958b-552c510da4e3": "0 61",
    "80537": "0 35 100",
    "ec053660-f475-4284-b385-0a5bb6df1636": "0 47",
    "cma-1978-67": "0 88 125 195 278",
    "5343": "0 37 86 156",
    "197f90b8-96a0-48d8-b7c5-13ab0d68e2c0": "0 47",
    "af6664c0-c97c-4a1d-894f-f9aa07b10005": "0 19 37",
    "57b427c4-d8f5-41ea-a990-95fac569beab": "0 71",
    "24111": "0 56",
    "51a3ee80-a919-42f0-90b8-2b2b38c16dc1": "0",
    "74993": "0 56 104",
    "e8b94f42-ff9d-49af-b070-88083bc6788c": "0",
    "b7b7817f-0219-436a-b56a-e914daf2c1e8": "0",
    "2a42c496-d622-43a7-8a4f-6431b793ee28": "0 16 52",
    "2de8b2ae-db4e-4fdb-99a9-ac00a057f3ca": "0",
    "5332": "0 42 78",
    "2306": "0 72 120",
    "e02557cb-c1ee-408b-a174-b053d6de6233": "0",
    "2bc9b65f-6c45-4640-8a58-bfa41f9769a5": "0 34",
    "e1acba9f-86e9-4086-85c2-e460c83b68a8": "0",
    "4a8e17c5-031e-40bc-a35f-19866704bc37": "0 66 121",
    "bae6df47-57c1-4276-9888-ef661f028ad1": "0",
    "6bf5aed2-4d30-4922-b786-284f9e23f361": "0 47 113",
    "29afe0c7-fa7e-46ac-8ffa-7d45c183d2ed": "0",
    "1299083f-4688-46fd-8b2e-46a9cf5dda15": "0",
    "41a5fc72-a33a-4061-912d-96f66991a4a7": "0",
    "441ca589-238e-46c6-94dc-3148d39f9681": "0 55 123 179 268 347 402 483",
    "842afa34-a27a-470a-860f-8c5f1c118a54": "0 51 102 160 201 272",
    "aca7e775-b6e4-4805-85f7-042ca20dc95c": "0 60",
    "7c3a395b-a749-4ae7-b290-9f59f788e91b": "0",
    "97531e33-6276-4d5f-993b-edebb422b93b": "0",
    "cceebc1b-86df-43ef-ad9f-bd0db0c64121": "0",
    "02e624f3-990d-4952-9496-53d488691431": "0",
    "ee11fecd-1b28-4649-8698-ce5d85eca275": "0",
    "9d29cd59-5816-4d8f-ab4d-df58d0aaa950": "0 34 80",
    "a99d918e-0c22-4c3d-91c3-c669f97b7cc5": "0",
    "60899458-2868-4eca-a429-19877b0936c4": "0 47 137",
    "be7af391-d946-4b38-82d5-dd308f7f0f70": "0 31",
    "7487d0d8-7bf7-46ad-b5e0-a1cfd13970f3": "0",
    "eefe1f0b-9073-427f-aa2d-2ad8d63c786b": "0 47",
    "7603": "0 25",
    "6a72c3ee-e7b4-4d2e-9bf3-7cd11cba0920": "0",
    "ef265e56-e742-448d-8c60-1f1c3dd7b1ed": "0 10",
    "86f3f89a-a925-4b09-b982-384c9b82f9c6": "0 23 34",
    "7a808d46-6bbf-4d11-9a2a-e7e18bdbd04e": "0",
    "bbbc1c27-1003-4bc3-9eeb-933fec082c6b": "0 21 39 71 145",
    "799c05c8-b5ce-4d08-ad18-54fa4288e308": "0",
    "24796": "0 27 91 155",
    "edfa1810-77c9-4ce9-88b9-1b83c4972cf1": "0 47",
    "8f89226e-6ac4-4c84-a252-eb1c7b29c206": "0",
    "37811": "0 70 121 208",
    "7dfb9f2e-4967-49a1-b6f5-fcced903622f": "0 48 120 180",
    "059bd388-d06f-426d-ac28-fe21a694e09c": "0 64",
    "d5f5e87a-1875-4246-a604-495aa08acd22": "0",
    "b2732ca5-a77d-480f-8b16-9f4e647537fe": "0",
    "1082": "0 34 102 151",
    "824": "0 20",
    "26530": "0 50",
    "1a3f39eb-febb-45de-a6ab-75f6cd4f4548": "0 50 119 211 254",
    "3475": "0 29 68",
    "edd9ab0c-87a5-4c05-9b69-032f4ab62123": "0",
    "b8f84560-5347-4609-a18e-3eaceeb5ae21": "0 64 204 262",
    "e6fa81ec-c2c9-4604-aae8-0de7297e6ed0": "0",
    "758b4bd1-f234-439b-aba6-756bb18c873b": "0",
    "a01a39b3-38d4-4cbf-aaae-f10e2b9f464d": "0 59 135 202 270 299 385 433 490 597",
    "416edeb4-5823-4072-8b1b-bcd702d49db9": "0 16 72",
    "1b3ece5a-d49c-464b-96bc-ff2706e92b89": "0",
    "9356483a-fb25-4f52-a775-b93aa3d5af92": "0",
    "22548": "0",
    "22135": "0 86 131",
    "1518": "0",
    "5807a572-c17c-459c-9a51-e385069ab456": "0",
    "5571": "0 58 116",
    "57ca1a83-2182-4a90-95c6-0ff7e136bce9": "0 32",
    "9c7d8aad-4cf4-43a7-84cb-d7e6585495bb": "0 56 95 163",
    "44cdf6dc-de3b-4e8a-bfa3-3639ba9b187c": "0",
}


def words_lost(text: str, spans: list[tuple[int, int]], filler: frozenset[str]) -> list[str]:
    """The words of `text` that are in none of `spans`, punctuation and fillers apart."""
    words = Words(text)
    return [
        word
        for word, start in zip(words.folded, words.starts, strict=True)
        if any(c.isalnum() for c in word)
        and word not in filler
        and not any(first <= start < end for first, end in spans)
    ]


def report() -> str:
    """Splits against the sample, words lost, how much of the print reads back, speed."""
    tables = load_tables()
    filler = fillers(tables)
    with DATA.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    started = time.perf_counter()
    read = [(row, read_provenance(row["provenance_text"], tables)) for row in rows]
    seconds = time.perf_counter() - started
    right = checked = 0
    failures: list[str] = []
    kinds: Counter[str] = Counter()
    lost = carried = 0
    for row, understood in read:
        events = [s for s in understood.statements if isinstance(s, ProvenanceEvent)]
        begins = " ".join(str(e.reading.start) for e in events if e.reading)
        kinds.update(event.kind.value for event in events)
        if row["source_id"] in SAMPLE:
            checked += 1
            right += begins == SAMPLE[row["source_id"]]
            if begins != SAMPLE[row["source_id"]]:
                failures.append(repr(row["provenance_text"][:150]))
        spans = [(s.start, s.end) for s in understood.unread]
        spans += [(s.reading.start, s.reading.end) for s in understood.statements if s.reading]
        lost += bool(words_lost(understood.text, spans, filler))
        _, missing = print_provenance(events, understood.parties, tables)
        carried += not [m for m in missing if not m.endswith(": ground")]
    total = len(read)
    lines = [
        "Provenance",
        f"  split as the convention says: {right} of {checked} ({right / checked:.1%})",
        f"  texts with a word lost: {lost} of {total}",
        f"  printed and read back as they were: {carried} of {total} ({carried / total:.1%})",
        f"  {total / seconds:,.0f} texts a second",
        "  kinds: " + ", ".join(f"{kind} {count}" for kind, count in kinds.most_common()),
        "  splits that differ:",
        *(f"    {failure}" for failure in failures),
    ]
    return "\n".join(lines)


if __name__ == "__main__":
    print(report() if DATA.exists() else f"no data at {DATA}")
