"""What free descriptions say about pressure, and what they only seem to say."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.pressure import READ_AS_PSI, find_pressures, rating
from partsdb.rules.pressure_units import units_by_spelling
from partsdb.tables import rows


def read(text: str, *, in_pressure_context: bool = False) -> list[tuple[str, str]]:
    found = find_pressures(text, in_pressure_context=in_pressure_context)
    return [(each.text, each.basis) for each in found]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Hose 1/4 x 15 m 3300psi WP 13200 psi burst", [("3300psi", "working"), ("13200 psi", "burst")]),
        ("WP 3300 psi, burst 12000 psi", [("3300 psi", "working"), ("12000 psi", "burst")]),
        ("3300 psi working, 12000 psi burst", [("3300 psi", "working"), ("12000 psi", "burst")]),
        ("WP 3300 psi burst 12000 psi", [("3300 psi", "working"), ("12000 psi", "burst")]),
        ("3300 psi burst 12000 psi", [("3300 psi", ""), ("12000 psi", "burst")]),
        ("burst 12000 psi, 3300 psi", [("12000 psi", "burst"), ("3300 psi", "")]),
        ("7600 psi maximum burst hose", [("7600 psi", "burst")]),
        ("max 7600 psi burst", [("7600 psi", "burst")]),
        ("rated 6600 psi, tested", [("6600 psi", "proof")]),
        ("min. burst pressure 910 bar", [("910 bar", "burst")]),
        ("bursts at 12000 psi", [("12000 psi", "burst")]),
        ("Sprengdruck 800 bar", [("800 bar", "burst")]),
        ("800 bar Bruchdruck", [("800 bar", "burst")]),
        ("Zerstörungsdruck 800 bar", [("800 bar", "burst")]),
        ("pressure of destruction 12000 psi", [("12000 psi", "burst")]),
        ("burst pressure, min., 12000 psi", [("12000 psi", "burst")]),
        ("BP 12000 psi / WP 3000 psi", [("12000 psi", "burst"), ("3000 psi", "working")]),
        ("Schlauch DN 6 zul. Betriebsdruck 227,5 bar Berstdruck 910 bar",
         [("227,5 bar", "working"), ("910 bar", "burst")]),
        ("Schlauch NW 8, PS 250 bar", [("250 bar", "working")]),
        ("Prüfdruck 500 bar", [("500 bar", "proof")]),
        ("test pressure 6600 psi, MWP 3300 psi", [("6600 psi", "proof"), ("3300 psi", "working")]),
        ("tested to 5000 psi", [("5000 psi", "proof")]),
        ("MWP250bar", [("250bar", "working")]),
        ("PN 400 bar", [("400 bar", "working")]),
        ("max. 280 bar / 4060 psi", [("280 bar / 4060 psi", "working")]),
        ("gun 250 bar", [("250 bar", "")]),
        ("Working pressure: 3,300 PSI (227 bar)", [("3,300 PSI (227 bar)", "working")]),
        ("Pressure (bar): 250", [("bar): 250", "")]),
        ("explosion proof gun 250 bar", [("250 bar", "")]),
        ("max. temp 80 °C, 250 bar", [("250 bar", "")]),
        ("hose 3300psi/227bar", [("3300psi/227bar", "")]),
        ("max.250bar", [("250bar", "working")]),
        ("Nr.250 bar", []),
        ("200 bar/2 m", [("200 bar", "")]),
        ("flow 10 bar/min", []),
        ("24-1180/3300 psi", []),
    ],
)  # fmt: skip
def test_figures_and_their_basis_are_found(text: str, expected: list[tuple[str, str]]) -> None:
    """The words are handbook 1.3's; which word belongs to which figure is common practice."""
    assert read(text) == expected


@pytest.mark.parametrize(
    "text",
    [
        "M22x1.5 male x 1/4-18 NPT female",
        "1/4 NPT nipple Sch 80",
        "bar stock 3/8",
        "valve kit 24-1180",
        "QM-3300 PSI",
        "VG-250 bar holder",
        "hose 15 m, bore 6 mm",
        "gloves, 12 pairs",
        "sand 25 kg",
        "weight 3300 lbs",
        "net weight 12 kg",
        "tube 6 PA 66",
        "230 V 50 Hz 1600 W",
        "G 1/4 A 316",
        "3300",
    ],
)
def test_a_size_a_number_or_a_weight_is_never_a_pressure(text: str) -> None:
    assert find_pressures(text) == []


def test_pounds_beside_a_pressure_word_are_read_and_marked() -> None:
    found = find_pressures("hose, working pressure 3300 lbs")[0]
    assert found.pressure is not None
    assert (found.pressure.gauge, found.pressure.notes) == (
        rating("3300 psi").gauge,
        (READ_AS_PSI,),
    )


def test_pounds_with_nothing_about_pressure_are_asked() -> None:
    found = find_pressures("hose 3300 lbs")[0]
    assert found.pressure is None
    assert found.code == "UNIT_AMBIGUOUS"
    assert "force, a mass or a pressure" in found.problem


def test_a_label_that_contradicts_itself_is_flagged_and_its_lower_figure_counts() -> None:
    """Handbook 8, defect 24: "max 250bar 3600#"; handbook 1.2, rule 4."""
    found = find_pressures("gun max 250bar 3600#")[0]
    assert found.code == "DUAL_UNIT_ROUNDING"
    assert found.pressure is not None
    assert found.pressure.gauge == rating("3600 psi").gauge


def test_a_scale_gives_its_upper_end_and_says_that_it_is_a_range() -> None:
    found = find_pressures("gauge 0-400 bar, 63 mm")[0]
    assert found.is_range
    assert found.pressure is not None
    assert found.pressure.pascals == 40_000_000


def test_a_range_that_does_not_start_at_nothing_is_asked() -> None:
    found = find_pressures("unloader 80-250 bar")[0]
    assert found.pressure is None
    assert "which end is meant" in found.problem


def test_blanks_of_typography_do_not_hide_a_pressure() -> None:
    found = find_pressures("Schlauch\xa0250\xa0bar")[0]
    assert found.text == "250\xa0bar"


@given(st.text(max_size=40), st.text(max_size=40))
def test_places_point_at_the_text_that_was_read(before: str, after: str) -> None:
    text = f"{before} 250 bar {after}"
    for found in find_pressures(text, in_pressure_context=True):
        assert text[found.start : found.end] == found.text


@given(st.text(max_size=40))
def test_a_burst_word_is_never_lost_to_a_stronger_reading(words: str) -> None:
    """Whatever stands around it, a figure right after "burst" never counts as working."""
    for found in find_pressures(f"{words} burst 12000 psi"):
        if found.text.startswith("12000"):
            assert found.basis == "burst"


def test_no_thread_of_the_table_is_read_as_a_pressure_nor_hides_one() -> None:
    for row in rows("threads"):
        thread = row["designation"]
        assert find_pressures(f"fitting {thread} male, steel") == []
        [found] = find_pressures(f"fitting {thread} 250 bar")
        assert found.text == "250 bar", thread


def test_no_number_of_the_demo_shop_is_read_as_a_pressure() -> None:
    shop = Path(__file__).parents[2] / "fixtures" / "shop" / "parts.csv"
    with shop.open(encoding="utf-8", newline="") as handle:
        numbers = [row["number"] for row in csv.DictReader(handle)]
    assert len(numbers) > 1000
    for number in numbers:
        assert find_pressures(f"{number} bar stock, handle") == [], number
        [found] = find_pressures(f"{number} max. 3300 psi")
        assert found.text == "3300 psi", number


@pytest.mark.parametrize("spelling", sorted(units_by_spelling()))
def test_every_spelling_of_a_unit_is_seen_before_and_behind_its_figure(spelling: str) -> None:
    # The quick look for a digit beside a unit must let every one of them through.
    for text in (f"Hose 250 {spelling}", f"hose 250{spelling.replace(' ', '')}, steel"):
        assert find_pressures(text, in_pressure_context=True), text
    behind = find_pressures(f"Hose ({spelling}): 250", in_pressure_context=True)
    assert len(behind) == 1


@pytest.mark.parametrize("spelling", sorted(units_by_spelling()))
def test_every_spelling_of_a_unit_is_read_in_small_and_in_capital_letters(spelling: str) -> None:
    """The spellings are the table's, each with its source there; "Pa" alone keeps its case."""
    unit = units_by_spelling()[spelling]
    written = {spelling} if spelling == "Pa" else {spelling, spelling.upper(), spelling.title()}
    for each in written:
        (found,) = find_pressures(f"9000 {each}", in_pressure_context=True)
        assert found.pressure is not None
        assert found.pressure.exact == 9000 * unit.pascals


@pytest.mark.parametrize(
    ("text", "plain"),
    [("3300 PSİ", "3300 psi"), ("3300 psı", "3300 psi"), ("250 barſ", "250 bars"),
     ("30 \u212aPa", "30 kPa")],
)  # fmt: skip
def test_letters_that_a_heedless_pattern_takes_for_others_bring_nothing_down(
    text: str, plain: str
) -> None:
    """Unicode's case folding joins them (CaseFolding.txt: U+0130, U+017F, U+212A): from memory."""
    read_so, meant = find_pressures(text)[0].pressure, find_pressures(plain)[0].pressure
    assert read_so is not None and meant is not None
    assert read_so.pascals == meant.pascals


def test_a_figure_behind_its_unit_is_read_beside_one_before_it() -> None:
    assert read("gun 350 bar, hose psi: 3000") == [("350 bar", ""), ("psi: 3000", "")]


@pytest.mark.parametrize("break_", ["\n", " \n", "\n "])
def test_a_basis_at_the_end_of_a_line_counts_for_the_figure_below_it(break_: str) -> None:
    assert read(f"burst{break_}800 bar") == [("800 bar", "burst")]


def test_figures_alone_tell_apart_what_otherwise_reads_alike() -> None:
    """The words around a figure are looked up with their digits gone; the figures are not."""
    assert read("gun 1, 250 bar, no. 12") == [("250 bar", "")]
    assert read("gun 2, 160 bar, no. 34") == [("160 bar", "")]
    assert read("gun 2, 160 bar burst 34") == [("160 bar", "burst")]
