"""A question on the screen: what differs is marked and named, and no number is ever cut."""

import pytest

from partsdb.render.review import (
    KEYS,
    group_text,
    help_text,
    marked_numbers,
    marked_words,
    question_text,
    risk_text,
)

PROPOSAL = {
    "part_id": 7,
    "maker": "Quillmere",
    "number": "24-1180",
    "description": "Valve kit, bypass, Q33, 1/4 NPT, 3300 psi",
    "is_vetoed": True,
    "evidence": [
        {"name": "number", "weighs": "against", "text": "…-1183 against …-1180: substituted digit"},
        {"name": "piece", "weighs": "for", "text": "both valve kit"},
        {"name": "thread", "weighs": "veto", "text": "thread G 1/4 against 1/4 NPT"},
    ],
}
QUESTION = {
    "line_id": 3,
    "place": "Sheet1 row 12",
    "fields": {"code": "24-1183", "description": "Valve kit, inlet, Q33, G 1/4"},
    "written": "24-1183",
    "reading": "to review",
    "doubts": ["the number is a near miss of one of ours"],
    "proposals": [PROPOSAL],
    "price": "61.90 EUR",
    "holds_pressure": True,
    "machines": ["Quillmere Q33"],
    "pattern": "near miss; substituted digit",
}


@pytest.mark.parametrize(
    ("ours", "theirs", "marked"),
    [
        ("24-1180", "24-1183", ("24-118[0]", "24-118[3]")),
        ("24-1180", "24-1810", ("24-1[18]0", "24-1[81]0")),
        ("24-1180", "XQ-24-1180", ("24-1180", "[XQ-]24-1180")),
        ("24-1180", "24-1180A", ("24-1180", "24-1180[A]")),
        ("0061.2690", "61.269", ("[00]61.269[0]", "61.269")),
        ("24-1180", "24 1180", ("24-1180", "24 1180")),  # punctuation is no difference
        ("CW 50434", "cw 50434", ("CW 50434", "cw 50434")),
        ("24-1180", "", ("[24-1180]", "")),
    ],
)
def test_numbers_are_marked_where_they_differ(ours, theirs, marked):
    assert marked_numbers(ours, theirs) == marked


def test_words_that_the_other_side_lacks_are_marked_whatever_their_case_and_order():
    ours, theirs = marked_words("Valve kit, inlet, 3/4 NPT", "KIT valve; BYPASS 3/4 NPT")
    assert ours == "Valve kit, [inlet], 3/4 NPT"
    assert theirs == "KIT valve; [BYPASS] 3/4 NPT"


@pytest.mark.parametrize("width", [40, 80, 100, 160])
def test_a_question_shows_line_and_candidate_with_the_stored_evidence_at_every_width(width):
    text = question_text(QUESTION, width, alike=3)
    for part in ("24-118[0]", "24-118[3]", "Sheet1 row 12", "61.90 EUR", "3 lines like it"):
        assert part in text
    assert "! thread: G 1/4 against 1/4 NPT" in text
    assert "~ number: …-1183 against …-1180: substituted digit" in text
    assert "= piece both valve kit" in text
    assert "(ruled out)" in text
    assert "near miss" in text


def test_wide_screens_have_line_and_candidate_side_by_side():
    rows = question_text(QUESTION, 120).splitlines()
    assert any("24-118[0]" in row and "24-118[3]" in row for row in rows)
    assert not any(
        "24-118[0]" in row and "24-118[3]" in row
        for row in question_text(QUESTION, 60).splitlines()
    )


def test_a_question_without_a_candidate_says_so():
    bare = {**QUESTION, "proposals": [], "doubts": [], "machines": [], "price": ""}
    text = question_text(bare, 100)
    assert "no part of ours is proposed" in text
    assert "read as to review" in text


def test_a_group_shows_each_line_with_its_own_first_candidate():
    other = {**QUESTION, "place": "Sheet1 row 14", "written": "24-1185", "proposals": []}
    text = group_text([QUESTION, other], 200)
    assert text.startswith("Alike: near miss; substituted digit")
    for part in ("24-1183", "24-1185", "Quillmere 24-1180", "row 14"):
        assert part in text


def test_the_risk_that_is_left_is_one_line():
    told = {"questions": 2, "pressure": 1, "machines": 1, "exposure": "80.00 EUR"}
    assert risk_text(told) == (
        "2 questions left: 1 of parts that hold pressure, 1 machine,"
        " 80.00 EUR at stake (unit prices times machines)"
    )
    assert risk_text({**told, "questions": 0}) == "nothing is left to ask"


def test_the_help_names_every_key():
    assert all(key in help_text() for key, _ in KEYS)
