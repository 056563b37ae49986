"""Date phrases of the trade become dates of the model.

Phrases are common practice of captions and catalogues; where a case has a source it is named.
"""

from __future__ import annotations

import pytest

from archivist.model.base import Certainty
from archivist.model.dates import historical_year
from archivist.model.records import Aspect, Attribution
from archivist.reading.dates import overall, read_date_cell, read_dates
from archivist.reading.tables import load_tables

TABLES = load_tables()


def dates(text: str) -> list[Attribution]:
    """The date statements of a running text."""
    return [s for s in read_dates(text, TABLES).statements if s.date is not None]  # type: ignore[union-attr, misc]


def only(text: str) -> tuple[str, int | None, int | None]:
    """EDTF and historical years of the one date statement of a text, which takes all of it."""
    understood = read_dates(text, TABLES)
    (statement,) = [s for s in understood.statements if isinstance(s, Attribution) and s.date]
    assert understood.unread == ()
    date = statement.date
    assert date is not None
    first, last = (
        None if year is None else historical_year(year) for year in (date.earliest, date.latest)
    )
    return date.edtf, first, last


def periods(text: str) -> list[str]:
    """The labels of the periods that a running text names."""
    return [
        s.term.label
        for s in read_dates(text, TABLES).statements
        if isinstance(s, Attribution) and s.aspect is Aspect.PERIOD and s.term is not None
    ]


@pytest.mark.parametrize(
    ("text", "edtf", "first", "last"),
    [
        ("1880", "1880", 1880, 1880),
        ("1736-95", "1736/1795", 1736, 1795),
        ("1830–5", "1830/1835", 1830, 1835),
        ("1736—1795", "1736/1795", 1736, 1795),
        ("1986- 1987", "1986/1987", 1986, 1987),
        ("1780/90", "1780/1790", 1780, 1790),
        ("1964 or 1965", "[1964,1965]", 1964, 1965),
        ("between 1750 and 1760", "1750/1760", 1750, 1760),
        ("between 1850-1861", "1850/1861", 1850, 1861),
        ("from 1750 to 1760", "1750/1760", 1750, 1760),
        ("dated 1881", "1881", 1881, 1881),
        ("dated 705", "0705", 705, 705),
        ("[1904]?", "1904?", 1904, 1904),
    ],
)
def test_years_and_ranges(text: str, edtf: str, first: int, last: int) -> None:
    assert only(text) == (edtf, first, last)


@pytest.mark.parametrize(
    ("text", "edtf", "first", "last"),
    [
        ("18th century", "17XX", 1700, 1799),
        ("18th c.", "17XX", 1700, 1799),
        ("18th-century", "17XX", 1700, 1799),
        ("18th C", "17XX", 1700, 1799),
        ("C18th", "17XX", 1700, 1799),
        ("nineteenth century", "18XX", 1800, 1899),
        ("17th/18th century", "1600/1799", 1600, 1799),
        ("10th -13th century", "0900/1299", 900, 1299),
        ("late 18th or early 19th century", "1775/1825", 1775, 1825),
        ("second half of the 18th century", "1750/1799", 1750, 1799),
        ("first half 19th century", "1800/1849", 1800, 1849),
        ("second third of the 19th century", "1833/1866", 1833, 1866),
        ("first quarter of the 17th century", "1600/1624", 1600, 1624),
        ("last quarter of the 19th century", "1875/1899", 1875, 1899),
        ("mid-19th century", "1835/1865", 1835, 1865),
        ("mid- to late-19th century", "1835/1899", 1835, 1899),
        ("early to mid 19th century", "1800/1865", 1800, 1865),
        ("19th and early 20th century", "1800/1925", 1800, 1925),
        ("19th Century/3RD QUARTER", "1850/1874", 1850, 1874),
        ("1st century", "0001/0099", 1, 99),
        ("turn of the 20th century", "1890/1910", 1890, 1910),
        ("turn of the 18th/19th century", "1790/1810", 1790, 1810),
    ],
)
def test_centuries_and_their_parts(text: str, edtf: str, first: int, last: int) -> None:
    assert only(text) == (edtf, first, last)


@pytest.mark.parametrize(
    ("text", "edtf", "first", "last"),
    [
        ("1920s", "192X", 1920, 1929),
        ("1830’s", "183X", 1830, 1839),
        ("1920s-1940s", "1920/1949", 1920, 1949),
        ("1870-1880s", "1870/1889", 1870, 1889),
        ("1870-80's", "1870/1889", 1870, 1889),
        ("early 1930s", "1930/1934", 1930, 1934),
        ("late 1880's", "1885/1889", 1885, 1889),
        ("late 40s", "1945/1949", 1945, 1949),
    ],
)
def test_decades(text: str, edtf: str, first: int, last: int) -> None:
    assert only(text) == (edtf, first, last)


@pytest.mark.parametrize(
    ("text", "edtf", "first", "last"),
    [
        ("200-100 BC", "-0199/-0099", -200, -100),
        ("206 BC-220 AD", "-0205/0220", -206, 220),
        ("206 BCE – 220 CE", "-0205/0220", -206, 220),
        ("AD 265-316", "0265/0316", 265, 316),
        ("ca. 57 B.C.-A.D. 935", "-0056~/0935~", -62, 940),
        ("2nd century BC", "-0199/-0100", -200, -101),
        ("8th-6th century BC", "-0799/-0500", -800, -501),
        ("2nd millennium BC", "-1999/-1000", -2000, -1001),
        ("100 BC-350 AD", "-0099/0350", -100, 350),
    ],
)
def test_years_before_our_era_are_astronomical_in_edtf(
    text: str, edtf: str, first: int, last: int
) -> None:
    assert only(text) == (edtf, first, last)


@pytest.mark.parametrize(
    "text",
    [
        *("circa 1780", "c. 1780", "c.1780", "ca. 1780", "ca 1780", "about 1780", "abt. 1780"),
        *("approx. 1780", "around 1780", "~1780", "c 1780", "1780 circa", "1780 ca.", "1780ish"),
        *("vers 1780", "um 1780", "hacia 1780", "omstreeks 1780", "1780 or so", "sirca 1780"),
    ],
)
def test_circa_is_five_years_either_way_in_all_its_spellings(text: str) -> None:
    """Five years: CCO 4.2.3.2 (ca. 1610 is 1605-1615)."""
    assert only(text) == ("1780~", 1775, 1785)


@pytest.mark.parametrize(
    ("text", "edtf", "first", "last"),
    [
        ("c. 1780-1790", "1780~/1790~", 1775, 1795),
        ("c. 1475-85", "1475~/1485~", 1470, 1490),
        ("1854-about 1860", "1854/1860~", 1854, 1865),
        ("before 1912", "../1912", None, 1912),
        ("by 1932", "../1932", None, 1932),
        ("pre-1900", "../1900", None, 1900),
        ("after 1870", "1870/..", 1870, None),
        ("no earlier than 1888", "1888/..", 1888, None),
        ("19th century or later", "1800/..", 1800, None),
        ("1880 or earlier", "../1880", None, 1880),
        ("late 18th century or earlier", "../1799", None, 1799),
    ],
)
def test_circa_ranges_and_open_ends(
    text: str, edtf: str, first: int | None, last: int | None
) -> None:
    assert only(text) == (edtf, first, last)


@pytest.mark.parametrize(
    ("text", "edtf"),
    [
        ("March 6, 1880", "1880-03-06"),
        ("6 March 1880", "1880-03-06"),
        ("6th of March, 1880", "1880-03-06"),
        ("Nov. 22, 1803", "1803-11-22"),
        ("June 7-9, 1960", "1960-06-07/1960-06-09"),
        ("January 25 & 27, 1923", "1923-01-25/1923-01-27"),
        ("July - August 1966", "1966-07/1966-08"),
        ("August 1979", "1979-08"),
        ("1932, December", "1932-12"),
        ("Spring, 1969", "1969-21"),
        ("Fall/Winter 1991", "1991-23/1991-24"),
        ("17.5.1906", "1906-05-17"),
        ("2004-06-11", "2004-06-11"),
        ("8/1959", "1959-08"),
    ],
)
def test_days_months_and_seasons(text: str, edtf: str) -> None:
    assert only(text)[0] == edtf


@pytest.mark.parametrize(
    ("text", "label", "first", "last"),
    [
        ("Qianlong period", "Qianlong", 1736, 1795),
        ("Qianlong mark and period", "Qianlong", 1736, 1795),
        ("Ming dynasty, mark and reign of Jiajing", "Jiajing", 1522, 1566),
        ("a Kangxi mark within a double circle and of the period", "Kangxi", 1662, 1722),
        ("Guangxu mark & period", "Guangxu", 1875, 1908),
        ("Northern Song dynasty", "Northern Song", 960, 1127),
        ("Victorian", "Victorian", 1837, 1901),
        ("époque Louis XVI", "Louis XVI", 1774, 1792),
        ("Minh Mang period", "Minh Mang", 1820, 1841),
        ("26th Dynasty", "Dynasty 26", -664, -525),
        ("Dynasty XVIII", "Dynasty 18", -1570, -1293),
        ("清康熙", "Kangxi", 1662, 1722),
        ("乾隆", "Qianlong", 1736, 1795),
    ],
)
def test_named_periods_and_reigns(text: str, label: str, first: int, last: int) -> None:
    assert label in periods(text)
    date = overall(read_dates(text, TABLES))
    assert date is not None
    assert date.earliest is not None
    assert date.latest is not None
    assert (historical_year(date.earliest), historical_year(date.latest)) == (first, last)


def test_one_word_for_two_periods_is_said_of_both() -> None:
    text = "Sui or Tang dynasty"
    assert periods(text) == ["Sui", "Tang"]
    assert only(text) == ("0581/0907", 581, 907)


def test_years_in_brackets_hold_before_those_of_the_table() -> None:
    text = "Yuan dynasty (1279-1368)"
    assert periods(text) == ["Yuan"]
    assert only(text) == ("1279/1368", 1279, 1368)


def test_the_narrower_of_nested_dates_is_the_date_of_the_whole() -> None:
    date = overall(read_dates("Ming Dynasty, 1368-1644, 16th century", TABLES))
    assert date is not None
    assert (date.earliest, date.latest) == (1500, 1599)


def test_dates_apart_make_a_whole_from_first_to_last() -> None:
    date = overall(read_dates("designed 1984, manufactured 2000", TABLES))
    assert date is not None
    assert (date.earliest, date.latest, date.edtf) == (1984, 2000, "1984/2000")


def test_a_bound_narrows_what_it_stands_beside() -> None:
    date = overall(read_dates("18th century, after 1713", TABLES))
    assert date is not None
    assert (date.earliest, date.latest) == (1713, 1799)


@pytest.mark.parametrize(
    ("text", "edtf", "first", "last"),
    [
        ("10th year of the Daoguang reign", "1830", 1830, 1830),
        ("Guangxu 3rd year", "1877", 1877, 1877),
        ("Meiji 12", "1879", 1879, 1879),
        ("昭和12年", "1937", 1937, 1937),
        ("光緒三年", "1877", 1877, 1877),
        ("明治三十年", "1897", 1897, 1897),
        ("光緒丙子", "1876", 1876, 1876),
        ("dated to the bingzi year of Guangxu", "1876", 1876, 1876),
        ("Qianlong bingzi", "1756", 1756, 1756),
        ("AH 1065", "1654/1655", 1654, 1655),
        ("1297 AH", "1879/1880", 1879, 1880),
    ],
)
def test_regnal_cyclical_and_islamic_years(text: str, edtf: str, first: int, last: int) -> None:
    assert only(text) == (edtf, first, last)


def test_a_cyclical_year_that_a_reign_does_not_settle_is_asked_about() -> None:
    """Kangxi 壬寅 is 1662 and 1722: the reign is longer than the cycle."""
    understood = read_dates("康熙壬寅", TABLES)
    assert understood.statements == ()
    (question,) = understood.questions
    years = [r[0].date.earliest for r in question.readings]  # type: ignore[union-attr]
    assert years == [1662, 1722]


def test_a_reign_that_never_had_that_year_is_asked_about_and_not_invented() -> None:
    understood = read_dates("Yongzheng jiazi year", TABLES)
    assert [s for s in understood.statements if isinstance(s, Attribution) and s.date] == []
    assert understood.questions


def test_an_unwritten_aspirate_is_asked_about_unless_the_dynasty_decides() -> None:
    assert [q.asks for q in read_dates("Chia-ching", TABLES).questions]
    assert periods("Chia-ching") == []
    assert periods("Chia-ch'ing") == ["Jiaqing"]
    assert "Jiajing" in periods("Ming dynasty, Chia-ching period")
    assert "Jiaqing" in periods("Qing dynasty, Chia-ching period")
    decided = read_dates("Chia-ching period", TABLES, context=("Qing dynasty",))
    assert [s.term.label for s in decided.statements if s.term] == ["Jiaqing"]  # type: ignore[union-attr]


def test_a_day_in_figures_that_reads_two_ways_keeps_the_year_and_asks() -> None:
    understood = read_dates("3/1/1832", TABLES)
    assert [s.date.edtf for s in understood.statements if s.date] == ["1832"]  # type: ignore[union-attr]
    (question,) = understood.questions
    assert {r[0].date.edtf for r in question.readings} == {"1832-01-03", "1832-03-01"}  # type: ignore[union-attr]


def test_years_that_run_backwards_are_asked_about() -> None:
    understood = read_dates("c. 1918-1912", TABLES)
    assert understood.statements == ()
    assert understood.questions


@pytest.mark.parametrize(
    ("text", "certainty", "edtf"),
    [
        ("probably late 17th century", Certainty.PROBABLE, "1675?/1699?"),
        ("possibly 18th century", Certainty.POSSIBLE, "17XX?"),
        ("perhaps c. 1780", Certainty.POSSIBLE, "1780%"),
        ("19th century?", Certainty.PROBABLE, "18XX?"),
        ("1880 (?)", Certainty.PROBABLE, "1880?"),
        ("probably before 1970", Certainty.PROBABLE, "../1970?"),
    ],
)
def test_the_speakers_doubt_is_kept_and_printed(text: str, certainty: Certainty, edtf: str) -> None:
    (statement,) = dates(text)
    assert statement.certainty is certainty
    assert statement.date is not None
    assert statement.date.edtf == edtf


def test_a_hedge_on_the_mark_is_a_hedge_on_the_date() -> None:
    (statement,) = dates("Yongzheng reign mark and possibly of the period")
    assert statement.certainty is Certainty.POSSIBLE


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("XVIIIe siècle", 1700, 1799),
        ("début du XIXe siècle", 1800, 1825),
        ("première moitié du XIXe siècle", 1800, 1849),
        ("fin XVIIIe", 1775, 1799),
        ("18. Jahrhundert", 1700, 1799),
        ("1. Hälfte 18. Jh.", 1700, 1749),
        ("Ende des 18. Jahrhunderts", 1775, 1799),
        ("18./19. Jh.", 1700, 1899),
        ("sec. XVIII", 1700, 1799),
        ("XVIII secolo", 1700, 1799),
        ("inizio del XIX secolo", 1800, 1825),
        ("seconda metà del XVIII secolo", 1750, 1799),
        ("Settecento", 1700, 1799),
        ("siglo XVIII", 1700, 1799),
        ("finales del siglo XVIII", 1775, 1799),
        ("mediados del s. XIX", 1835, 1865),
        ("18e eeuw", 1700, 1799),
        ("begin 19e eeuw", 1800, 1825),
        ("tweede helft 18de eeuw", 1750, 1799),
    ],
)
def test_old_labels_in_other_languages(text: str, first: int, last: int) -> None:
    assert only(text)[1:] == (first, last)


def test_an_italian_end_is_no_english_praise() -> None:
    assert only_years("a fine 18th century bowl") == (1700, 1799)
    assert only_years("fine XVIII secolo") == (1775, 1799)


def only_years(text: str) -> tuple[int | None, int | None]:
    (statement,) = dates(text)
    assert statement.date is not None
    return statement.date.earliest, statement.date.latest


def test_seventeen_hundreds_are_the_century_and_the_decade_is_offered() -> None:
    understood = read_dates("1700s", TABLES)
    assert only_years("1700s") == (1700, 1799)
    (question,) = understood.questions
    assert len(question.readings) == 2


@pytest.mark.parametrize(
    ("text", "edtf"),
    [
        ("17-Jan-46", "1946-01-17"),
        ("Apr-29", "1929-04"),
        ("900-1300", "0900/1300"),
        ("10 Dec 44", "1944-12-10"),
        ("08/88", "1988-08"),
        ("c. 50-320", "0050~/0320~"),
        ("late 19th", "1875/1899"),
    ],
)
def test_a_column_of_dates_is_read_more_freely(text: str, edtf: str) -> None:
    statements = read_date_cell(text, TABLES).statements
    assert [s.date.edtf for s in statements if s.date] == [edtf]  # type: ignore[union-attr]


@pytest.mark.parametrize("text", ["n.d.", "undated", "no date"])
def test_undated_is_understood_and_states_nothing(text: str) -> None:
    understood = read_dates(text, TABLES)
    assert understood.statements == ()
    assert understood.unread == ()


def test_the_ground_says_why_a_year_is_held() -> None:
    assert dates("dated 1881")[0].ground == "dated"
    assert dates("designed 1927")[0].ground == "designed"


@pytest.mark.parametrize(
    "text", ["2nd half 19th c. in 18th c. style", "2nd half of 19th c., 18th cent. type"]
)
def test_a_century_cut_short_before_a_word_for_style_is_no_date_of_the_piece(text: str) -> None:
    (only,) = [s for s in read_dates(text, TABLES).statements if isinstance(s, Attribution)]
    assert only.date is not None
    assert (only.date.earliest, only.date.latest) == (1850, 1899)
