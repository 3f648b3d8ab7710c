"""Part numbers: keys, runs, what spreadsheets make of them, how two of them differ."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.measures import plain_measures
from partsdb.rules.numbers import (
    damages,
    difference,
    has_other_script,
    letters_beyond,
    number_fold,
    number_identity,
    number_key,
    number_runs,
    one_edit_keys,
    spreadsheet_forms,
    stands_in,
)
from partsdb.rules.spreadsheet import is_altered, plain_cell
from partsdb.rules.words import plain_words


@pytest.mark.parametrize(
    ("printed", "key"),
    [
        ("24-1180", "241180"),
        (" t7.204.145 ", "T7204145"),
        ("CW 50434", "CW50434"),
        ("ＰＭ３-４５４", "PM3454"),
        ("РМ5-343", "PM5343"),  # Cyrillic ER and EM
        ("", ""),
    ],
)
def test_a_key_keeps_letters_and_digits_only(printed, key):
    assert number_key(printed) == key


@pytest.mark.parametrize(
    ("one", "other"), [("T7.2O4.225", "T7.204.225"), ("00123", "123"), ("S0B1", "50 8I")]
)
def test_a_fold_brings_look_alikes_and_lost_zeros_together(one, other):
    assert number_fold(one) == number_fold(other)


def test_runs_keep_apart_what_the_key_merges():
    # Two converters of one maker, 1.2 V and 12 V: the trap named in references.md.
    assert number_key("R-78B1.2-2.0") == number_key("R-78B12-2.0")
    assert number_runs("R-78B1.2-2.0") == ("R", "78", "B", "1", "2", "2", "0")
    assert number_runs("R-78B12-2.0") != number_runs("R-78B1.2-2.0")


def test_letters_of_another_script_are_noticed():
    assert has_other_script("РМ5-343")
    assert not has_other_script("PM5-343")


# What a common spreadsheet makes of a typed number; common practice, no source.
@pytest.mark.parametrize(
    ("typed", "shown", "damage"),
    [
        ("0012345", "12345", "leading zeros lost"),
        ("0061.2690", "61.269", "trailing zeros lost"),
        ("0026.2000", "26.2", "trailing zeros lost"),
        ("12345", "12,345", "thousands separator added"),
        ("12345", "12.345", "thousands separator added"),
        ("12345", "12 345", "thousands separator added"),
        ("12345", "12345.0", "trailing .0 added"),
        ("12345", "12345,00", "trailing .0 added"),
        ("12E5", "1.20E+06", "scientific notation"),
        ("12E5", "1200000", "leading zeros lost"),
        ("123456789012", "1.23457E+11", "scientific notation"),
        ("123456789012", "1,23E+11", "scientific notation"),
        ("1234567890123456", "1234567890123450", "cut to fifteen digits"),
        ("3-5", "05-Mar", "date made from a number"),
        ("3-5", "03-May", "date made from a number"),
        ("3-5", "2025-03-05", "date made from a number"),
        ("3-5", "05.03.2025", "date made from a number"),
        ("3-5", "Mar-05", "date made from a number"),
        ("3/5", "5. Mrz", "date made from a number"),
        ("MAR5", "05-Mar", "date made from a number"),
        ("12-45", "Dec-45", "date made from a number"),
        ("3-5-2020", "2020-05-03", "date made from a number"),
        ("2-11", "11-Feb", "date made from a number"),
    ],
)
def test_what_a_sheet_shows_is_a_form_of_what_was_typed(typed, shown, damage):
    forms = {form for form, name in damages(shown) if name == damage}
    assert forms & spreadsheet_forms(typed)


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("24-1180", "05-Mar"),
        ("3-5", "06-Mar"),
        ("0012345", "12346"),
        ("12E5", "1.30E+06"),
        ("3-5-2020", "05-Mar"),  # a sheet keeps the year it was given
        ("123456789012", "1.23458E+11"),
        ("13-14", "14-Mar"),  # there is no thirteenth or fourteenth month
    ],
)
def test_what_a_sheet_does_not_show_is_no_form_of_it(typed, shown):
    assert not {form for form, _ in damages(shown)} & spreadsheet_forms(typed)


@pytest.mark.parametrize("number", ["XQ-123", "T7.204.145", "24-1180A", "PM3-454", "246-258"])
def test_a_number_that_no_sheet_touches_has_no_form(number):
    assert spreadsheet_forms(number) == frozenset()


@pytest.mark.parametrize("code", ["XQ-1", "24-1180", "PM3-454", "", "SR 2083"])
def test_a_sound_code_bears_no_damage(code):
    assert damages(code) == ()


@pytest.mark.parametrize(
    ("one", "other", "kind"),
    [
        ("246-258", "246-258", "same"),
        ("246-258", "246258", "punctuation"),
        ("2O6-258", "206-258", "look-alike"),
        ("246-258", "246-259", "substituted digit"),
        ("246-258", "246-285", "transposed"),
        ("246-2581", "246-258", "inserted"),
        ("246-25", "246-258", "deleted"),
        ("246-258A", "246-258C", "revision letter"),
        ("246-258", "246-258A", "revision letter"),
        ("XQ-246-258", "246-258", "prefix"),
        ("246-258-100", "246-258", "suffix"),
        ("AC-1", "AD-1", "substituted letter"),
        ("246-258", "991-113", "several"),
    ],
)
def test_the_kind_of_a_difference_is_named(one, other, kind):
    assert difference(one, other).kind == kind


@pytest.mark.parametrize(
    ("one", "other", "text"),
    [
        ("246-258", "246-259", "…-258 against …-259"),
        ("T7.204.145", "T7.204.175", "….145 against ….175"),
        ("246258", "246259", "246258 against 246259"),
    ],
)
def test_a_difference_is_shown_run_by_run(one, other, text):
    assert difference(one, other).text == text


def test_one_edit_reaches_every_family_of_near_misses():
    near = set(one_edit_keys("24118"))
    assert {"24119", "24181", "241180", "2418", "24118A", "124118"} <= near
    assert "24191" not in near


@given(st.text(alphabet=st.characters(min_codepoint=32, max_codepoint=126), max_size=12))
def test_a_text_of_plain_signs_is_read_as_beside_any_other_sign(text: str):
    # A sign beyond ASCII, which a key drops, sends the same text down the longer way.
    assert number_key(f"{text}·") == number_key(text)
    assert plain_cell(f"{text}x·") == f"{plain_cell(f'{text}x')}·"
    assert plain_measures(f"{text}·")[:-1] == plain_measures(text)
    assert plain_words(f"{text} é") == (*plain_words(text), "e")


@pytest.mark.parametrize(
    ("one", "other", "is_same"),
    [
        ("24-1180", "24 1180", True),
        ("РМ5-343", "PM5-343", True),  # Cyrillic ER and EM print like the Latin letters
        ("ＰＭ３-４５４", "PM3-454", True),
        ("Ü24-1369", "24-1369", False),
        ("Ж24-1182", "24-1182", False),
        ("КЛ-100", "КШ-100", False),
        ("阀-200", "球-200", False),
        ("A-٣", "A-3", False),
    ],
)
def test_a_letter_of_any_script_makes_it_another_number(one, other, is_same):
    assert (number_identity(one) == number_identity(other)) is is_same


@given(st.text(alphabet=st.characters(min_codepoint=32, max_codepoint=126), max_size=12))
def test_the_identity_of_plain_signs_is_their_key(text: str):
    assert number_identity(text) == number_key(text)


@pytest.mark.parametrize(
    ("number", "text", "stands"),
    [
        ("24-1180", "for 24-1180, 24-1181", True),
        ("24-1180", "for 24 1180.", True),
        ("24-1180", "(241180)", True),
        ("24-1180", "24-1180/24-1181", True),
        ("24-1180", "item ２４－１１８０", True),
        ("CW 40311", "cw40311 of 2026", True),
        ("24-1180", "for 24-11805", False),
        ("24-1180", "for 124-1180", False),
        ("24-1180", "for 24-1180A", False),
        ("24-1180", "for 24-1180-A", False),
        ("24-1180", "for XQ-24-1180", False),
        ("24-1180", "for Ü24-1180", False),
        ("24-1180", "lot 24, 1180 pieces", False),
        ("24-1180", "for 24-118", False),
        ("", "anything", False),
        ("--", "a -- b", False),
    ],
)
def test_a_text_names_a_number_only_whole(number, text, stands):
    """Common practice, no source: a suffix or a sign more is another part's number."""
    assert stands_in(number, text) is stands


@pytest.mark.parametrize(
    ("one", "other", "kind"),
    [
        ("\u041624-1180", "24-1180", "inserted"),  # a Cyrillic ZHE, which no key holds
        ("24-1180\u00c4", "24-1180", "revision letter"),
        ("\u0416-24", "\u00dc-24", "substituted letter"),
        ("\u0420\u041c5-343", "PM5-343", "punctuation"),  # ER and EM print like P and M
    ],
)
def test_a_letter_that_no_key_holds_is_a_difference(one, other, kind):
    assert difference(one, other).kind == kind


@pytest.mark.parametrize(
    ("number", "letters"),
    [("24-1180", ""), ("\u041624", "\u0416"), ("\u00fc24", "\u00dc"), ("\u0420\u041c5", "")],
)
def test_the_letters_that_no_key_holds_are_told(number, letters):
    assert letters_beyond(number) == letters


@pytest.mark.parametrize(
    ("typed", "altered"),
    [
        ("0012", True), ("3-12", True), ("MAR-5", True), ("7E12", True), ("12.50", True),
        ("1.234", True), ("123456789012", True), ("00", True), ("1/4", True),
        ("12345678901", False), ("0", False), ("24-1180", False), ("KE-11632", False), ("", False),
    ],
)  # fmt: skip
def test_what_a_spreadsheet_shows_otherwise_than_typed_is_told(typed, altered):
    # common practice, no source; eleven digits are the most that a cell shows as they are
    assert is_altered(typed) is altered
