"""What a line of a list states: quoted, at the level of the supplier's word, never a guess."""

from __future__ import annotations

import pytest

from partsdb.rules.facts import NOT_SAID, ClaimKind, EvidenceLevel
from partsdb.rules.stated import stated_claims, stated_contents

# No source: the lines are invented, shaped like the trade's; what they say is plain reading.


def said(kind: ClaimKind, description: str, **columns: str) -> list[tuple[str, str, str]]:
    """(about, value, basis) of the claims of that kind, in order."""
    found = stated_claims(description, **columns)
    return [(c.about, c.value, c.basis) for c in found if c.kind is kind]


def ratings(description: str, **columns: str) -> list[tuple[str, str]]:
    return [(value, basis) for _, value, basis in said(ClaimKind.RATING, description, **columns)]


def materials(description: str, **columns: str) -> set[tuple[str, str]]:
    found = said(ClaimKind.MATERIAL, description, **columns)
    return {(about, value) for about, value, _ in found}


def test_every_claim_is_the_suppliers_word_with_its_place():
    found = stated_claims("Hose 3/8, 5000 psi, WC ball", source="list.csv, B7")
    assert found
    assert {claim.evidence for claim in found} == {EvidenceLevel.SUPPLIERS_WORD}
    assert {claim.source for claim in found} == {"list.csv, B7"}


def test_what_is_not_stated_is_not_claimed():
    assert stated_claims("Valve kit, bypass") == ()
    assert stated_claims("") == ()


# Ratings


@pytest.mark.parametrize(
    ("description", "columns", "claimed"),
    [
        ("Hose 5000 psi", {}, [("5000 psi", "")]),
        ("Hose", {"rating": "345 bar"}, [("345 bar", "")]),
        ("Hose", {"rating": "345 bar", "basis": "burst"}, [("345 bar", "burst")]),
        ("Hose", {"rating": "burst 1380 bar", "basis": "working"}, [("1380 bar", "burst")]),
        ("Hose 5000 psi", {"rating": "5000 psi"}, [("5000 psi", "")]),
    ],
)
def test_ratings_are_claimed_as_written_with_their_basis(description, columns, claimed):
    assert ratings(description, **columns) == claimed


def test_a_figure_of_the_words_that_differs_from_the_column_is_claimed_too():
    found = ratings("Hose, 3000 psi", rating="5000 psi", basis="working")
    assert {value for value, _ in found} == {"5000 psi", "3000 psi"}


def test_a_burst_figure_in_the_words_is_never_claimed_as_working():
    assert ("12000 psi", "burst") in ratings("Hose, burst 12000 psi")
    assert all(basis == "burst" for value, basis in ratings("Hose, 12000 psi burst"))


def test_a_rating_without_a_unit_is_kept_as_written():
    found = ratings("Hose", rating="3300 XY")
    assert [value for value, _ in found] == ["3300 XY"]


def test_words_without_a_figure_in_the_rating_column_claim_nothing():
    assert ratings("Hose", rating="heavy duty") == []


def test_the_same_figure_from_two_places_is_one_claim():
    assert len(ratings("Hose 345 bar", rating="345 bar")) == 1


# Materials


@pytest.mark.parametrize(
    ("description", "claimed"),
    [
        ("440C ball, tungsten carbide seat",
         {("ball", "440C"), ("seat", "tungsten carbide")}),
        ("WC ball and seat", {("ball", "tungsten carbide"), ("seat", "tungsten carbide")}),
        ("440C ball WC seat", {("ball", "440C"), ("seat", "tungsten carbide")}),
        ("ball 440C seat WC", {("ball", "440C"), ("seat", "tungsten carbide")}),
        ("316 ball", {("ball", "316")}),
        ("ball", set()),
    ],
)  # fmt: skip
def test_a_material_belongs_to_the_piece_beside_it(description, claimed):
    assert materials(description) == claimed


def test_a_bare_figure_is_a_grade_only_before_its_piece():
    assert materials("316 ball")
    assert materials("Valve kit no. 316, seat") == set()


def test_carbide_without_a_grade_is_not_tungsten_carbide():
    assert ("ball", "tungsten carbide") not in materials("carbide ball and seat")


def test_the_material_column_counts_too():
    assert ("ball", "tungsten carbide") in materials("Kit", material="WC ball")


# Threads


@pytest.mark.parametrize(
    ("description", "thread", "ports"),
    [
        ("Nipple 1/4 NPT", "", 1),
        ("Nipple", "G 1/4", 1),
        ("Nipple 1/4 NPT", "G 1/4", 1),
        ("Adapter 1/4 NPT x 3/8 NPT", "", 2),
        ("Valve kit", "", 0),
    ],
)
def test_threads_are_claimed_from_the_column_first(description, thread, ports):
    found = said(ClaimKind.PORT, description, thread=thread)
    assert len({value for _, value, _ in found}) == ports
    if thread:
        assert "G" in found[0][1]
        assert "NPT" not in found[0][1]


def test_a_thread_column_that_cannot_be_read_is_kept_as_written():
    assert said(ClaimKind.PORT, "Nipple", thread="as drawing") == [("", "as drawing", "")]


# Contents


def contents(description: str) -> dict[str, int] | None:
    found = stated_contents(description)
    return None if found is None else {item.role: item.quantity for item in found}


@pytest.mark.parametrize(
    ("description", "held"),
    [
        ("Valve kit, contents: ball, seat, 2 rod seals", {"ball": NOT_SAID, "seat": NOT_SAID, "rod seal": 2}),
        ("Valve kit with 1 ball and 1 seat", {"ball": 1, "seat": 1}),
        ("Ventilsatz, Inhalt: Kugel, Sitz", {"ball": NOT_SAID, "seat": NOT_SAID}),
        ("Valve kit incl. ball, seat, gland ring", {"ball": NOT_SAID, "seat": NOT_SAID, "gland ring": NOT_SAID}),
    ],
)  # fmt: skip
def test_contents_are_what_stands_behind_the_word_for_them(description, held):
    assert contents(description) == held


@pytest.mark.parametrize(
    "description",
    [
        "Valve kit, bypass",
        "Valve kit, WC ball and seat",
        "Valve kit, without gland ring",
        "Hose with swivel and guard",
        "",
    ],
)
def test_contents_that_are_not_listed_are_not_stated(description):
    assert contents(description) is None


@pytest.mark.parametrize(
    "description",
    [
        "Valve kit, contents: ball, seat, without gland ring",
        "Valve kit with ball and seat, less gland ring",
        "Valve kit, contents: ball, seat, without gland ring, collar",
        "Ventilsatz mit Kugel, Sitz, ohne Stopfbuchsring",
    ],
)
def test_what_is_left_out_is_not_in_the_kit(description):
    held = contents(description)
    assert held is not None
    assert set(held) == {"ball", "seat"}


@pytest.mark.parametrize(
    ("column", "grade"),
    # Common practice, no source: in a column of materials a bare AISI number is the grade.
    [("316", "316"), ("316L", "316"), ("304", "304"), ("303", "303"), ("316 stainless", "316"),
     ("stainless steel 316", "316"), ("316 SS", "316"), ("440C", "440C")],
)  # fmt: skip
def test_a_bare_grade_in_the_column_of_materials_is_a_material(column, grade):
    assert materials("Ball 3/8", material=column) == {("", grade)}


@pytest.mark.parametrize("column", ["1316", "316.5", "KV-316", "no. 3160", "316-20"])
def test_a_number_that_only_holds_a_grade_is_none(column):
    assert materials("Ball 3/8", material=column) == set()


def test_pieces_carry_their_material():
    found = stated_contents("Valve kit, contents: 440C ball, WC seat")
    assert found is not None
    assert {(i.role, i.material) for i in found} == {
        ("ball", "440C"), ("seat", "tungsten carbide"),
    }  # fmt: skip
