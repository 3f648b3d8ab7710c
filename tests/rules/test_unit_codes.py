"""Units of sale as codes of UN/ECE Recommendations 20 and 21, and what we ask about."""

import pytest

from partsdb.errors import AmbiguousError, NotFoundError
from partsdb.rules.unit_codes import unit_code
from partsdb.tables import rows

KINDS = {"count", "length", "volume", "mass", "package"}


@pytest.mark.parametrize("checks", ["uom.rec20"], indirect=True)
def test_a_lists_unit_becomes_the_published_code(checks):
    for check in checks:
        assert unit_code(check["inputs"]["text"]).code == check["expected"], check["id"]


@pytest.mark.parametrize("checks", ["uom.ambiguous"], indirect=True)
def test_a_metre_or_a_thousand_is_asked(checks):
    for check in checks:
        with pytest.raises(AmbiguousError) as question:
            unit_code(check["inputs"]["text"])
        assert check["expected"] == f"AMBIGUOUS: {' or '.join(question.value.choices)}"


@pytest.mark.parametrize(
    ("text", "code", "count"),
    [  # UN/ECE Rec 20 (handbook 8); the words are shop aliases, common practice, no source
        ("EA", "EA", 1), ("C62", "C62", 1), ("H87", "H87", 1), ("Stk", "H87", 1), ("Stück", "H87", 1), ("Stu\u0308ck", "H87", 1), ("stk.", "H87", 1),
        ("Satz", "SET", 1), ("pair", "PR", 2), ("dozen", "DZN", 12), ("CEN", "CEN", 100), ("MIL", "MIL", 1000),
        ("gross", "GRO", 144), ("m ", None, None), ("mtr", "MTR", None), ("ltr", "LTR", None), ("kg", "KGM", None),
    ],
)  # fmt: skip
def test_a_unit_says_how_many_pieces_it_holds(text, code, count):
    if code is None:
        with pytest.raises(AmbiguousError):
            unit_code(text)
    else:
        assert (unit_code(text).code, unit_code(text).count) == (code, count)


@pytest.mark.parametrize(
    ("text", "count"),
    # A figure before a piece is that many pieces: common practice of German lists, no source.
    [("100 ST", 100), ("100ST", 100), ("50 Stück", 50), ("per 10 pcs", 10), ("je 25 Stk.", 25), ("1 Stk", 1)],
)  # fmt: skip
def test_a_figure_before_a_piece_counts_the_pieces_and_reads_back(text, count):
    unit = unit_code(text)
    assert (unit.count, unit.kind) == (count, "count")
    assert unit_code(unit.code).count == count


@pytest.mark.parametrize("text", ["100 m", "5 PK", "0 ST", "100 frobs", "100", "10 pair"])
def test_a_figure_before_anything_else_is_no_unit_that_we_know(text):
    with pytest.raises(NotFoundError):
        unit_code(text)


@pytest.mark.parametrize("text", ["PK", "BX", "Karton"])
def test_a_package_belongs_to_recommendation_21_and_does_not_say_its_content(text):
    unit = unit_code(text)
    assert (unit.recommendation, unit.kind, unit.count) == (21, "package", None)


def test_each_one_and_piece_are_different_codes():
    assert len({unit_code(text).code for text in ("each", "one", "piece")}) == 3


def test_an_unknown_unit_is_refused_with_a_sentence():
    with pytest.raises(NotFoundError, match="no unit of sale 'furlong'"):
        unit_code("furlong")


def test_every_row_of_the_table_is_sound():
    for row in rows("unit_codes"):
        assert row["source"]
        assert row["text"] == " ".join(row["text"].upper().split())
        assert bool(row["ambiguous"]) != bool(row["code"])
        if row["code"]:
            assert row["kind"] in KINDS
            assert (row["kind"] == "count") == bool(row["count"])
            assert row["recommendation"] == ("21" if row["kind"] == "package" else "20")


@pytest.mark.parametrize(
    ("text", "code"), [("VE", "PK"), ("Blister", "PK"), ("Gebinde", "PK"), ("Dtz", "DZN")]
)
def test_units_as_german_lists_write_them_are_no_single_pieces(text, code):
    assert unit_code(text).code == code  # common practice, no source
