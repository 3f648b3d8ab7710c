"""Laws of ratings: less known, less strong or more asked never gives a better outcome."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.facts import EVIDENCE_RANK, Claim, ClaimKind, EvidenceLevel
from partsdb.rules.pressure import demand
from partsdb.rules.pressure_check import check_pressure
from partsdb.rules.ratings import working_rating
from partsdb.rules.verdict import GRAVITY, Outcome

NEEDED = demand("3300 psi")


def claim(value: str, basis: str, level: EvidenceLevel) -> Claim:
    return Claim(ClaimKind.RATING, value, level, basis=basis, source="sheet 1")


LEVELS = st.sampled_from(list(EvidenceLevel))
BASES = st.sampled_from(["working", "proof", "burst", ""])
CLASSES = st.sampled_from(["hose", "valve", "fitting", "gauge", "gun"])


def claimed(psi: int, basis: str, level: EvidenceLevel) -> Claim:
    return claim(f"{psi} psi", basis, level)


CLAIMS = st.lists(st.builds(claimed, st.integers(500, 20000), BASES, LEVELS), max_size=4)


def gravity(claims: list[Claim], component_class: str, psi: int) -> int:
    shown = working_rating(claims, component_class)
    return GRAVITY[check_pressure(shown, demand(f"{psi} psi")).outcome]


@given(CLAIMS, CLASSES, st.integers(500, 9000), st.integers(0, 3000))
def test_a_higher_demand_never_improves_the_outcome(
    claims: list[Claim], component_class: str, psi: int, more: int
) -> None:
    assert gravity(claims, component_class, psi + more) >= gravity(claims, component_class, psi)


@given(st.integers(500, 20000), st.integers(0, 9000), BASES, LEVELS, CLASSES)
def test_a_lower_rating_never_improves_the_outcome(
    psi: int, less: int, basis: str, level: EvidenceLevel, component_class: str
) -> None:
    high = [claimed(psi, basis, level)]
    low = [claimed(max(1, psi - less), basis, level)]
    assert gravity(low, component_class, 3300) >= gravity(high, component_class, 3300)


@given(CLAIMS, CLASSES)
def test_weaker_evidence_never_improves_the_outcome(
    claims: list[Claim], component_class: str
) -> None:
    def weaker(each: Claim) -> Claim:
        level = list(EvidenceLevel)[min(EVIDENCE_RANK[each.evidence] + 1, len(EvidenceLevel) - 1)]
        return claim(each.value, each.basis, level)

    was = gravity(claims, component_class, 3300)
    assert gravity([weaker(each) for each in claims], component_class, 3300) >= was


@given(CLAIMS, CLASSES, st.data())
def test_without_a_claim_that_holds_the_demand_nothing_improves(
    claims: list[Claim], component_class: str, data: st.DataObject
) -> None:
    """Only a claim that speaks against the part can make it better by going away."""
    holding = [each for each in claims if rating_of(each) >= 3300 and each.basis in ("working", "")]
    if not holding or component_class == "gauge":
        return
    gone = data.draw(st.sampled_from(holding))
    left = [each for each in claims if each is not gone]
    assert gravity(left, component_class, 3300) >= gravity(claims, component_class, 3300)


def rating_of(each: Claim) -> int:
    return int(each.value.split()[0])


@given(CLAIMS, CLASSES)
def test_the_order_of_claims_changes_nothing(claims: list[Claim], component_class: str) -> None:
    one = check_pressure(working_rating(claims, component_class), NEEDED)
    other = check_pressure(working_rating(claims[::-1], component_class), NEEDED)
    assert (one.outcome, one.code, one.conditions) == (other.outcome, other.code, other.conditions)


@given(CLAIMS, CLASSES)
def test_nothing_meets_without_a_working_or_derived_figure_as_high_as_the_band_allows(
    claims: list[Claim], component_class: str
) -> None:
    shown = working_rating(claims, component_class)
    if check_pressure(shown, NEEDED).outcome in (Outcome.MEETS, Outcome.MEETS_WITH_CONDITIONS):
        assert shown.pressure is not None
        assert shown.pressure.gauge > NEEDED.gauge * 995 / 1000
