"""The working rating that claims show, and how it compares with a demand."""

from __future__ import annotations

import pytest

from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel
from partsdb.rules.pressure import demand, rating
from partsdb.rules.pressure_check import Allowance, check_pressure
from partsdb.rules.ratings import derived_in_words, working_rating
from partsdb.rules.verdict import Check, Outcome

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
        ("hose", "13200 psi", Outcome.NOT_SHOWN),
        ("fitting", "16000 psi", Outcome.NOT_SHOWN),
        ("hose", "99000 psi", Outcome.NOT_SHOWN),
        ("valve", "13200 psi", Outcome.NOT_SHOWN),
        ("block", "99000 psi", Outcome.NOT_SHOWN),
        ("gun", "13200 psi", Outcome.NOT_SHOWN),
        ("unknown", "13200 psi", Outcome.NOT_SHOWN),
        ("valve", "3000 psi", Outcome.FAILS),
    ],
)
def test_burst_alone(component_class: str, burst: str, outcome: Outcome) -> None:
    """Handbook 1.3: burst / our ratio fails what is too weak, and shows nothing (1.4)."""
    found = checked(claim(burst, "burst"), component_class=component_class)
    assert found.outcome == outcome
    if outcome == Outcome.NOT_SHOWN:
        assert found.code == "BURST_ONLY"


def test_of_two_burst_figures_the_lower_counts() -> None:
    assert (
        checked(claim("16000 psi", "burst"), claim("12000 psi", "burst")).outcome == Outcome.FAILS
    )


def test_a_rating_that_cannot_be_read_is_not_made_good_by_a_burst_figure() -> None:
    found = checked(claim("13200 psi", "burst"), claim("heavy duty"))
    assert (found.outcome, found.code) == (Outcome.NOT_SHOWN, "UNIT_AMBIGUOUS")


@pytest.mark.parametrize(
    ("written", "outcome"),
    [
        ("1000 bar", Outcome.MEETS),
        ("996 bar", Outcome.FAILS),  # the demand's own unit: no rounding explains it
        ("14450 psi", Outcome.MEETS_WITH_CONDITIONS),  # 0.37 % under 14,503.8 psi
        ("14431 psi", Outcome.FAILS),  # 0.502 % under
    ],
)
def test_nominal_is_less_than_half_a_percent_under_in_another_unit(
    written: str, outcome: Outcome
) -> None:
    """Handbook, "How the design uses it"; 1 bar = 14.503774 psi (NIST SP 811), by hand."""
    shown = working_rating([claim(written)], "hose")
    assert check_pressure(shown, demand("1000 bar")).outcome == outcome


@pytest.mark.parametrize(
    "words",
    [
        *("not confirmed", "destruct", "peak", "approx.", "?", "intermittent", "water only"),
        *("at 20 °C", "*", "†", "or 2500", "/ 207", "(2500)", "1)", "4:1", "÷ 2", "±10 %", "½"),
    ],
)
def test_words_that_nobody_understands_beside_a_rating_show_nothing(words: str) -> None:
    found = checked(claim(f"3300 psi {words}"))
    assert found.outcome == Outcome.NOT_SHOWN
    assert "beside it means is not known" in found.text


@pytest.mark.parametrize("written", ["3300 psi WP", "max. 3300 psi", "working pressure 3300 psi"])
def test_plain_words_beside_a_rating_change_nothing(written: str) -> None:
    assert checked(claim(written)).outcome == Outcome.MEETS


def test_words_beside_a_rating_that_is_too_low_do_not_save_it() -> None:
    assert checked(claim("2500 psi not confirmed")).outcome == Outcome.FAILS


def test_the_demands_number_in_bar_looks_muddled() -> None:
    found = checked(claim("3300 bar"))
    assert (found.outcome, found.code) == (Outcome.NOT_SHOWN, "UNIT_AMBIGUOUS")


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


def test_a_burst_figure_on_paper_does_not_back_a_rating_that_is_only_guessed() -> None:
    """Handbook 1.4: two things that are not shown do not show each other."""
    guess = claim("3600 psi", evidence=GUESS)
    assert checked(guess).outcome == Outcome.NOT_SHOWN
    assert checked(guess, claim("14000 psi", "burst")).outcome == Outcome.NOT_SHOWN


@pytest.mark.parametrize("source", ["", " ", "-", "?", "n/a", "unknown", "none", "k.A.", "tbd"])
@pytest.mark.parametrize("level", EvidenceLevel)
def test_a_rating_that_names_no_source_is_not_shown_whoever_claims_it(
    level: EvidenceLevel, source: str
) -> None:
    """Handbook 1.4: no source is unknown."""
    found = checked(Claim(ClaimKind.RATING, "5000 psi", level, "", "working", source))
    assert (found.outcome, found.code) == (Outcome.NOT_SHOWN, "EVIDENCE_WEAK")
    assert "names no source" in found.text


def test_a_rating_without_a_source_still_counts_where_it_is_the_lower_one() -> None:
    bare = Claim(ClaimKind.RATING, "3000 psi", MAKER, basis="working")
    assert checked(claim("5000 psi"), bare).outcome == Outcome.FAILS
    other = Claim(ClaimKind.RATING, "3600 psi", MAKER, basis="working")
    assert checked(claim("5000 psi"), other).outcome == Outcome.MEETS


@pytest.mark.parametrize(
    ("proof", "outcome"),
    [
        ("6600 psi", Outcome.MEETS),  # 2 x 3300 psi, by hand
        ("6500 psi", Outcome.NOT_SHOWN),  # good for 3250 psi by our ratio
        ("5100 psi", Outcome.NOT_SHOWN),
        ("3000 psi", Outcome.FAILS),  # the demand itself is above it
    ],
)
def test_a_rating_that_its_own_proof_pressure_does_not_carry_is_not_shown(
    proof: str, outcome: Outcome
) -> None:
    """Handbook 1.3: hydraulic hose is proved at twice its rating (ISO 6605)."""
    assert checked(claim("5000 psi"), claim(proof, "proof")).outcome == outcome


def test_a_class_without_a_proof_ratio_is_not_held_to_one() -> None:
    found = checked(claim("5000 psi"), claim("5100 psi", "proof"), component_class="valve")
    assert found.outcome == Outcome.MEETS


def test_a_rating_that_cannot_be_read_beside_one_that_can_is_asked() -> None:
    read = claim("5000 psi")
    assert checked(read, claim("3000")).outcome == Outcome.NOT_SHOWN
    assert checked(read, claim("3000", evidence=WORD)).outcome == Outcome.MEETS_WITH_CONDITIONS
    assert checked(read, claim("heavy duty", evidence=WORD)).outcome == Outcome.MEETS


def test_a_lower_figure_in_the_same_unit_is_no_rounding_and_counts() -> None:
    found = checked(claim("3300 psi"), claim("3290 psi", evidence=WORD))
    assert (found.outcome, found.code) == (Outcome.FAILS, "PRESSURE_LOW")
    assert checked(claim("3300 psi"), claim("227 bar", evidence=WORD)).outcome == Outcome.MEETS


def test_the_lower_figure_of_hearsay_that_is_not_understood_is_asked() -> None:
    found = checked(claim("5000 psi"), claim("3600 psi peak", evidence=WORD))
    assert found.outcome == Outcome.MEETS_WITH_CONDITIONS
    assert found.conditions == ("ask what 'peak' beside 3600 psi means",)


@pytest.mark.parametrize(
    ("written", "needed"),
    [("3300 kgf/cm2", "3300 psi"), ("3300 MPa", "3300 psi"), ("250 MPa", "250 bar"), ("3250 bar", "3300 psi")],
)  # fmt: skip
def test_the_demands_number_in_a_far_larger_unit_looks_muddled(written: str, needed: str) -> None:
    found = check_pressure(working_rating([claim(written)], "hose"), demand(needed))
    assert (found.outcome, found.code) == (Outcome.NOT_SHOWN, "UNIT_AMBIGUOUS")


@pytest.mark.parametrize(("written", "needed"), [("345 bar", "3300 psi"), ("350 bar", "35 MPa"), ("3300 psi", "3300 psi")])  # fmt: skip
def test_another_number_or_a_near_unit_is_no_muddle(written: str, needed: str) -> None:
    assert (
        check_pressure(working_rating([claim(written)], "hose"), demand(needed)).outcome
        == Outcome.MEETS
    )


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


def test_a_figure_that_is_claimed_twice_is_told_once() -> None:
    found = checked(claim("5000 psi"), *[claim("3000 psi", evidence=WORD)] * 3)
    assert found.text.count("3000 psi (") == 2, "once as the rating, once among those that differ"


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
