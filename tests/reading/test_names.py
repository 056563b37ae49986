"""Names across romanisations, characters and mis-hearings."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from archivist.model.records import Aspect, Attribution
from archivist.reading.dates import read_dates
from archivist.reading.names import NameIndex, aspirated_key, edit_distance, sound_key
from archivist.reading.tables import load_tables

TABLES = load_tables()


def period(text: str) -> tuple[str, str] | None:
    """The one period of a text and the confidence of its reading."""
    found = [
        s
        for s in read_dates(text, TABLES).statements
        if isinstance(s, Attribution) and s.aspect is Aspect.PERIOD
    ]
    if not found:
        return None
    (statement,) = found
    assert statement.term is not None
    assert statement.reading is not None
    return statement.term.label, statement.reading.confidence


@pytest.mark.parametrize(
    ("spellings", "label"),
    [
        (("Qianlong", "Ch'ien-lung", "Ch’ien Lung", "Chien Lung", "Kien-lung", "乾隆"), "Qianlong"),
        (("Kangxi", "K'ang-hsi", "Kang Hsi", "KANG-HSI", "Kang-he", "康熙"), "Kangxi"),
        (("Guangxu", "Kuang-hsü", "Kuang Hsu", "Kwang-su", "光緒", "光绪"), "Guangxu"),
        (("Xuande", "Hsüan-te", "Hsuan Te", "宣德"), "Xuande"),
        (("Daoguang", "Tao-kuang", "Tao Kwang", "道光"), "Daoguang"),
        (("Wanli", "Wan-li", "Wan Li", "萬曆", "万历"), "Wanli"),
        (("Goryeo", "Koryo", "Koryŏ", "高麗"), "Goryeo"),
        (("Taisho", "Taishō", "大正"), "Taisho"),
        (("Kan'ei", "Kanei", "寛永"), "Kan'ei"),
        (("Tu Duc", "Tự Đức", "嗣德"), "Tu Duc"),
        (("Belle Époque", "Belle Epoque"), "Belle Époque"),
    ],
)
def test_every_spelling_finds_the_one_preferred_name(
    spellings: tuple[str, ...], label: str
) -> None:
    for spelling in spellings:
        assert period(spelling) == (label, "1"), spelling


@pytest.mark.parametrize(
    ("heard", "label"),
    [
        ("chain lung period", "Qianlong"),
        ("qainlong period", "Qianlong"),
        ("kang she period", "Kangxi"),
        ("gwangxu reign", "Guangxu"),
        ("dow kwang period", "Daoguang"),
        ("wan lee period", "Wanli"),
        ("yung jung period", "Yongzheng"),
        ("tongue chi period", "Tongzhi"),
        ("daogaung mark and period", "Daoguang"),
    ],
)
def test_a_misheard_name_is_found_beside_period_and_carries_its_distance(
    heard: str, label: str
) -> None:
    found = period(heard)
    assert found is not None
    assert found[0] == label
    assert float(found[1]) < 1


def test_a_misheard_name_alone_is_left_unread() -> None:
    assert period("chain lung") is None
    assert period("a wan lee vase") is None


def test_an_exact_name_always_wins_over_a_near_one() -> None:
    index = NameIndex([("Kangxi", "one"), ("Kangsi", "other")])
    assert index.exactly("Kang-xi") == ("one",)
    assert index.approximately("Kangxi") is None


def test_a_name_as_near_to_two_is_given_for_neither() -> None:
    index = NameIndex([("Tongzhia", "one"), ("Tongzhie", "other")])
    assert index.approximately("Tongzhio") is None


def test_an_aspirate_that_is_written_tells_two_reigns_apart() -> None:
    index = NameIndex([("Chia-ching", 1522), ("Chia-ch'ing", 1796)])
    assert index.exactly("Chia-ch'ing") == (1796,)
    assert index.exactly("Chia ch’ing") == (1796,)
    assert set(index.exactly("chiaching")) == {1522, 1796}


@settings(deadline=None)
@given(st.text(max_size=12), st.text(max_size=12))
def test_distance_is_symmetric_and_nought_for_the_same(one: str, other: str) -> None:
    assert edit_distance(one, other, 20) == edit_distance(other, one, 20)
    assert edit_distance(one, one, 20) == 0


@settings(deadline=None)
@given(st.text(max_size=20))
def test_keys_of_any_text_are_made_and_stay_the_same_when_made_again(text: str) -> None:
    assert aspirated_key(aspirated_key(text)) == aspirated_key(text)
    sound_key(text)


@pytest.mark.parametrize(
    ("one", "other", "distance"), [("kangxi", "kangix", 1), ("wanli", "wanly", 1), ("a", "abc", 2)]
)
def test_a_swap_of_neighbours_counts_once(one: str, other: str, distance: int) -> None:
    assert edit_distance(one, other, 5) == distance
