"""The pressure chain: the weakest piece first, and the unknown listed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.chain import ChainPiece, gauge_range, judge_chain, piece_of
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel, PartFacts
from partsdb.rules.pressure import demand, rating
from partsdb.rules.ratings import working_rating
from partsdb.rules.verdict import GRAVITY, Outcome, Verdict

NEEDED = demand("3300 psi")


def piece(name: str, value: str, basis: str = "working", *, of: str = "fitting") -> ChainPiece:
    claims = [Claim(ClaimKind.RATING, value, EvidenceLevel.MAKERS_DOCUMENT, "", basis, "QH-7")]
    return ChainPiece(name, working_rating(claims if value else [], of))


# Handbook 1.5, the worked example.
GUN, WHIP = piece("gun", "3600 psi", of="gun"), piece("whip", "5000 psi", of="hose")
HOSE, SWIVEL = piece("hose", "12000 psi", "burst", of="hose"), piece("swivel", "", of="swivel")


def test_the_handbooks_example_fails_by_the_hose_and_still_lists_the_swivel() -> None:
    found = judge_chain([GUN, HOSE, WHIP, SWIVEL], NEEDED)
    assert found.outcome == Outcome.FAILS
    assert found.verdict == Verdict.DO_NOT_FIT
    assert found.weakest == "hose"
    assert found.unknown == ("swivel",)
    assert [name for name, _ in found.checks] == ["hose", "gun", "whip", "swivel"]
    assert found.rating is None
    assert "hose, 3000 psi (206 bar) against 3300 psi (228 bar)" in found.text
    assert "unknown: swivel" in found.text


def test_with_a_better_hose_it_is_not_shown_until_the_swivel_is_documented() -> None:
    better = piece("hose", "3300 psi", of="hose")
    assert judge_chain([GUN, better, WHIP, SWIVEL], NEEDED).outcome == Outcome.NOT_SHOWN
    documented = judge_chain([GUN, better, WHIP, piece("swivel", "5000 psi", of="swivel")], NEEDED)
    assert documented.outcome == Outcome.MEETS
    assert documented.weakest == "hose"
    assert documented.rating is not None
    assert documented.rating.gauge == rating("3300 psi").gauge


def test_a_part_becomes_a_piece_rated_as_its_role_is() -> None:
    claims = (Claim(ClaimKind.RATING, "0-4000 psi", EvidenceLevel.MAKERS_DOCUMENT),)
    gauge = piece_of("gauge", PartFacts("Ambrelle", "G-1", "gauge", "gauge", claims))
    assert judge_chain([gauge, WHIP], NEEDED).outcome == Outcome.FAILS  # 0.75 x 4000 = 3000 psi


def test_an_empty_chain_shows_nothing() -> None:
    found = judge_chain([], NEEDED)
    assert (found.outcome, found.weakest, found.rating) == (Outcome.NOT_SHOWN, "", None)


@pytest.mark.parametrize(
    ("scale", "outcome"),
    [
        ("4000 psi", Outcome.FAILS),
        ("4400 psi", Outcome.MEETS),
        ("5000 psi", Outcome.MEETS),
        ("13200 psi", Outcome.MEETS),
        ("15000 psi", Outcome.MEETS_WITH_CONDITIONS),
    ],
)
def test_a_gauge_is_used_in_the_middle_of_its_scale(scale: str, outcome: Outcome) -> None:
    """EN 837-2, from memory: to 75 % of the scale; its lowest quarter is common practice."""
    found = gauge_range(rating(scale), NEEDED)
    assert found.outcome == outcome
    assert "3300 psi" in found.text
    assert scale.split()[0] in found.text


PIECES = st.lists(st.one_of(st.none(), st.integers(1000, 9000)), min_size=1, max_size=6)


def outcome_of(ratings: list[int | None], psi: int) -> Outcome:
    pieces = [
        piece(f"piece {at}", f"{each} psi" if each else "") for at, each in enumerate(ratings)
    ]
    return judge_chain(pieces, demand(f"{psi} psi")).outcome


@given(PIECES, st.integers(1000, 6000))
def test_a_chain_is_as_good_as_its_worst_piece(ratings: list[int | None], psi: int) -> None:
    alone = [outcome_of([each], psi) for each in ratings]
    assert outcome_of(ratings, psi) == max(alone, key=GRAVITY.__getitem__)


@given(PIECES, st.one_of(st.none(), st.integers(1000, 9000)), st.integers(1000, 6000))
def test_a_further_piece_never_improves_a_chain(
    ratings: list[int | None], more: int | None, psi: int
) -> None:
    assert GRAVITY[outcome_of([*ratings, more], psi)] >= GRAVITY[outcome_of(ratings, psi)]
