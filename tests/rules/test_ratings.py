"""The working rating that claims show, and how it compares with a demand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.facts import EVIDENCE_RANK, Claim, ClaimKind, EvidenceLevel
from partsdb.rules.pressure import demand, rating
from partsdb.rules.pressure_check import Allowance, check_pressure
from partsdb.rules.ratings import derived_in_words, working_rating
from partsdb.rules.verdict import GRAVITY, Check, Outcome

MAKER, WORD = EvidenceLevel.MAKERS_DOCUMENT, EvidenceLevel.SUPPLIERS_WORD
PAPER, GUESS = EvidenceLevel.SUPPLIERS_DOCUMENT, EvidenceLevel.INFERRED
NEEDED = demand("3300 psi")


def claim(value: str, basis: str = "working", evidence: EvidenceLevel = MAKER) -> Claim:
    return Claim(ClaimKind.RATING, value, evidence, basis=basis, source="sheet 1")


def checked(*claims: Claim, component_class: str = "hose") -> Check:
    return check_pressure(working_rating(claims, component_class), NEEDED)


@pytest.mark.parametrize(
    ("evidence", "outcome"),
    [
        (EvidenceLevel.MAKERS_DOCUMENT, Outcome.MEETS),
        (EvidenceLevel.MEASURED_HERE, Outcome.MEETS),
        (EvidenceLevel.PROVEN_HERE, Outcome.MEETS),
        (EvidenceLevel.SUPPLIERS_DOCUMENT, Outcome.MEETS_WITH_CONDITIONS),
        (EvidenceLevel.SUPPLIERS_WORD, Outcome.NOT_SHOWN),
        (EvidenceLevel.INFERRED, Outcome.NOT_SHOWN),
    ],
)
def test_a_rating_high_enough_shows_as_much_as_its_evidence(
    evidence: EvidenceLevel, outcome: Outcome
) -> None:
    assert checked(claim("3600 psi", evidence=evidence)).outcome == outcome


@pytest.mark.parametrize("evidence", EvidenceLevel)
def test_a_rating_too_low_fails_whoever_said_it(evidence: EvidenceLevel) -> None:
    found = checked(claim("3000 psi", evidence=evidence))
    assert (found.outcome, found.code) == (Outcome.FAILS, "PRESSURE_LOW")
    assert "3000 psi (206 bar) against 3300 psi (228 bar)" in found.text


@pytest.mark.parametrize(
    ("claims", "code"),
    [
        ([], "PRESSURE_UNKNOWN"),
        ([claim("heavy duty")], "UNIT_AMBIGUOUS"),
        ([claim("3300")], "UNIT_AMBIGUOUS"),
        ([claim("2,500 bar")], "UNIT_AMBIGUOUS"),
        ([claim("6600 psi", "proof")], "PRESSURE_UNKNOWN"),
        ([claim("tested to 6600 psi", "")], "PRESSURE_UNKNOWN"),
        ([claim("9000 psi", "ultimate")], "PRESSURE_UNKNOWN"),
        ([Claim(ClaimKind.MATERIAL, "3600 psi", MAKER)], "PRESSURE_UNKNOWN"),
    ],
)
def test_what_shows_no_working_rating_is_not_shown(claims: list[Claim], code: str) -> None:
    """Handbook 1.4: no rating, no unit, "heavy duty" are unknown."""
    found = checked(*claims)
    assert (found.outcome, found.code) == (Outcome.NOT_SHOWN, code)


def test_a_proof_pressure_under_the_demand_fails() -> None:
    assert checked(claim("3000 psi", "proof")).outcome == Outcome.FAILS


@pytest.mark.parametrize(
    ("component_class", "burst", "outcome"),
    [
        ("hose", "12000 psi", Outcome.FAILS),
        ("hose", "13200 psi", Outcome.MEETS_WITH_CONDITIONS),
        ("fitting", "16000 psi", Outcome.MEETS_WITH_CONDITIONS),
        ("valve", "13200 psi", Outcome.NOT_SHOWN),
        ("block", "99000 psi", Outcome.NOT_SHOWN),
        ("gun", "13200 psi", Outcome.NOT_SHOWN),
        ("unknown", "13200 psi", Outcome.NOT_SHOWN),
        ("valve", "3000 psi", Outcome.FAILS),
    ],
)
def test_burst_alone(component_class: str, burst: str, outcome: Outcome) -> None:
    """Handbook 1.3: burst / our ratio, one step lower; not accepted for blocks and valves."""
    found = checked(claim(burst, "burst"), component_class=component_class)
    assert found.outcome == outcome
    if outcome in (Outcome.MEETS_WITH_CONDITIONS, Outcome.NOT_SHOWN):
        assert found.code == "BURST_ONLY"


def test_burst_on_the_suppliers_paper_is_one_step_lower_than_his_paper() -> None:
    assert checked(claim("13200 psi", "burst", PAPER)).outcome == Outcome.NOT_SHOWN


def test_a_derived_rating_names_ratio_and_standard() -> None:
    words = derived_in_words(working_rating([claim("12000 psi", "burst")], "hose"))
    assert "burst 12000 psi / 4" in words
    assert "3000 psi" in words
    assert "SAE J517" in words


def test_a_derived_rating_is_never_nominal() -> None:
    """13 190 psi / 4 = 3297.5 psi lies within 0.5 %, but nothing was rounded in another unit."""
    assert checked(claim("13190 psi", "burst")).outcome == Outcome.FAILS


def test_a_printed_rating_at_the_sellers_own_ratio_is_not_shown() -> None:
    """Handbook 1.3: a ratio under 4 needs the standard's number on a certificate on file."""
    found = checked(claim("4800 psi"), claim("12000 psi", "burst"))
    assert (found.outcome, found.code) == (Outcome.NOT_SHOWN, "EVIDENCE_WEAK")
    assert "certificate" in found.text


def test_a_burst_figure_on_paper_backs_a_rating_that_is_only_guessed() -> None:
    """Otherwise the part would fare better without the guess."""
    guess = claim("3600 psi", evidence=GUESS)
    assert checked(guess).outcome == Outcome.NOT_SHOWN
    assert checked(guess, claim("14000 psi", "burst")).outcome == Outcome.MEETS_WITH_CONDITIONS


def test_the_word_burst_in_the_value_outweighs_a_working_column() -> None:
    """Handbook 6.6: burst in the rating column is a sign of a bad list."""
    assert checked(claim("12000 psi burst", "working")).code == "PRESSURE_LOW"
    assert working_rating([claim("13200 psi burst")], "hose").is_derived


@pytest.mark.parametrize("basis", ["working", ""])
@pytest.mark.parametrize("written", ["12000 psi", "827 bar", "13000 psi"])
def test_the_known_burst_under_another_name_is_no_rating(written: str, basis: str) -> None:
    """Handbook 6.6: burst in the rating column is a sign of a bad list."""
    found = checked(claim(written, basis), claim("12000 psi", "burst"), component_class="valve")
    assert (found.outcome, found.code) == (Outcome.NOT_SHOWN, "BURST_ONLY")


def test_of_two_claims_that_differ_the_lower_counts_and_both_are_shown() -> None:
    found = checked(claim("5000 psi"), claim("3000 psi", evidence=WORD))
    assert found.outcome == Outcome.FAILS
    assert "5000 psi" in found.text
    assert "3000 psi" in found.text
    agreed = checked(claim("5000 psi"), claim("3600 psi", evidence=WORD))
    assert agreed.outcome == Outcome.MEETS
    assert "disagree" in agreed.text


def test_a_figure_whose_basis_is_not_said_must_be_confirmed() -> None:
    found = checked(claim("5000 psi", ""))
    assert found.outcome == Outcome.MEETS_WITH_CONDITIONS
    assert found.conditions == (
        "confirm that 5000 psi is the working pressure, not proof or burst",
    )


def test_nominal_is_confirmed_once_and_remembered() -> None:
    """Handbook, "How the design uses it": 227 bar for 3300 psi."""
    shown = working_rating([claim("227 bar")], "hose")
    asked = check_pressure(shown, NEEDED)
    assert (asked.outcome, asked.code) == (Outcome.MEETS_WITH_CONDITIONS, "DUAL_UNIT_ROUNDING")
    assert "227 bar" in asked.conditions[0]
    assert "3300 psi" in asked.conditions[0]
    confirmed = check_pressure(shown, NEEDED, Allowance(nominal_confirmed=True))
    assert (confirmed.outcome, confirmed.conditions) == (Outcome.MEETS, ())


def test_a_confirmation_does_not_lift_a_real_shortfall() -> None:
    shown = working_rating([claim("225 bar")], "hose")
    assert check_pressure(shown, NEEDED, Allowance(nominal_confirmed=True)).outcome == Outcome.FAILS


def test_a_label_that_contradicts_itself_is_flagged_even_where_its_lower_figure_holds() -> None:
    found = checked(claim("5000 psi / 250 bar"))
    assert (found.outcome, found.code) == (Outcome.MEETS_WITH_CONDITIONS, "DUAL_UNIT_ROUNDING")
    low = checked(claim("3600 psi / 207 bar"))
    assert (low.outcome, low.code) == (Outcome.FAILS, "DUAL_UNIT_ROUNDING")


def test_pounds_in_a_rating_are_read_as_psi_and_marked() -> None:
    found = checked(claim("3600 lbs"))
    assert found.outcome == Outcome.MEETS
    assert "read as psi" in found.text


@pytest.mark.parametrize(
    ("claims", "psi"),
    [
        ([claim("0-5000 psi", "")], 3750),
        ([claim("5000 psi", "")], 3750),
        ([claim("3750 psi"), Claim(ClaimKind.DIMENSION, "5000 psi", MAKER, "full_scale")], 3750),
        ([claim("5000 psi"), Claim(ClaimKind.DIMENSION, "5000 psi", MAKER, "full_scale")], 3750),
        ([claim("3000 psi"), Claim(ClaimKind.DIMENSION, "5000 psi", MAKER, "full_scale")], 3000),
    ],
)
def test_a_gauge_is_good_for_three_quarters_of_its_scale(claims: list[Claim], psi: int) -> None:
    """EN 837-2, from memory (handbook 1.3)."""
    found = working_rating(claims, "gauge").pressure
    assert found is not None
    assert found.gauge == rating(f"{psi} psi").gauge


def test_every_text_carries_both_figures() -> None:
    for claims in (
        [claim("3000 psi")],
        [claim("5000 psi")],
        [claim("227 bar")],
        [claim("9000 psi", "proof")],
    ):
        text = checked(*claims).text
        assert "3300 psi" in text
        assert sum(character.isdigit() for character in text) > 8


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
