"""Hot parts: limits, standards, and derating by curve."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.errors import UsageError
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel
from partsdb.rules.pressure import rating
from partsdb.rules.temperature import (
    check_temperature,
    curve_for,
    derated,
    derating_curves,
    derating_factor,
    highest_c,
)
from partsdb.rules.verdict import GRAVITY, Outcome

METAL_HOSE = "316 corrugated metal hose"


MAKER, WORD = EvidenceLevel.MAKERS_DOCUMENT, EvidenceLevel.SUPPLIERS_WORD


def claim(
    value: str,
    kind: ClaimKind = ClaimKind.TEMPERATURE,
    about: str = "",
    level: EvidenceLevel = MAKER,
) -> Claim:
    return Claim(kind, value, level, about, source="QH-7")


@pytest.mark.parametrize(
    ("temp_c", "factor"),
    [(20, "1"), (50, "0.90"), (75, "0.84"), (100, "0.78"), (150, "0.71"), (-10, "1")],
)
def test_the_factor_is_linear_between_the_points(temp_c: int, factor: str) -> None:
    """EN/ISO 10380:2012 factors (handbook 1.7, S11); 75 °C by hand: (0.90 + 0.78) / 2."""
    assert derating_factor(METAL_HOSE, temp_c=temp_c) == Fraction(factor)


@pytest.mark.parametrize(("curve", "temp_c"), [(METAL_HOSE, 201), ("PTFE hose", 50)])
def test_a_standard_is_never_extrapolated(curve: str, temp_c: int) -> None:
    with pytest.raises(UsageError, match="no factor at"):
        derating_factor(curve, temp_c=temp_c)


def test_250_bar_at_100_degrees_are_195_bar() -> None:
    """Handbook 1.7."""
    assert derated(rating("250 bar"), METAL_HOSE, temp_c=100).gauge == 195 * 100_000


@given(st.integers(20, 200), st.integers(20, 200))
def test_hotter_is_never_stronger(one: int, two: int) -> None:
    low, high = sorted((one, two))
    for curve in derating_curves():
        assert derating_factor(curve, temp_c=high) <= derating_factor(curve, temp_c=low) <= 1


@pytest.mark.parametrize(
    ("value", "highest"),
    [
        ("60 °C", 60),
        ("-40...100 °C", 100),
        ("-40 to +100 °C", 100),
        ("max. 80 C", 80),
        ("176 °F", 80),
        ("175 °F", 79),
        ("hot water", None),
        ("80", None),
        ("60 °C / 140 °F", None),
        ("20-60 °C", 60),
        ("-40/100 °C", 100),
        ("−40…+100 °C", 100),
        ("60°C-100°C", 100),
        ("operating temperature max. 60,5 °C", 60),
        # Another figure or word may change it: read as nothing, never as the highest number.
        ("60 °C at 200 bar", None),
        ("1000 psi at 60 °C", None),
        ("EN 853 type 100 °C", None),
        ("100 °C (water 60 °C)", None),
        ("water 60 °C; oil 100 °C", None),
        ("60 °C max, 80 °C peak", None),
        ("120 °C (peak)", None),
        ("60 °C storage", None),
        ("100 to 60 °C", None),
        ("from 60 °C", None),
        ("min 60 °C", None),
        ("60 °C?", None),
        ("~60 °C", None),
        ("not above 60 °C", None),
    ],
)
def test_the_highest_temperature_is_read_and_never_rounded_up(
    value: str, highest: int | None
) -> None:
    assert highest_c(value) == highest


@pytest.mark.parametrize(
    ("claims", "temp_c", "fluids", "outcome"),
    [
        ([claim("60 °C")], 50, (), Outcome.MEETS),
        ([claim("60 °C")], 60, (), Outcome.MEETS),
        ([claim("60 °C")], 61, (), Outcome.FAILS),
        ([claim("at 20 °C")], 50, (), Outcome.NOT_SHOWN),
        ([claim("20 °C", about="rated at")], 50, (), Outcome.NOT_SHOWN),
        ([claim("60 °C"), claim("80 °C")], 70, (), Outcome.FAILS),
        ([claim("warm")], 30, (), Outcome.NOT_SHOWN),
        ([], 40, (), Outcome.MEETS),
        ([], 41, (), Outcome.NOT_SHOWN),
        ([claim("EN 853 2SN", ClaimKind.STANDARD)], 70, ("water",), Outcome.MEETS),
        ([claim("EN 853 2SN", ClaimKind.STANDARD)], 80, ("hot water",), Outcome.FAILS),
        ([claim("EN 853 2SN", ClaimKind.STANDARD)], 90, ("hydraulic oil",), Outcome.MEETS),
        ([claim("at 20 °C"), claim("316 corrugated", ClaimKind.MATERIAL)], 100, (), Outcome.MEETS),
        # A stated limit holds whatever a curve would leave of the rating.
        ([claim("60 °C"), claim("316 corrugated", ClaimKind.MATERIAL)], 100, (), Outcome.FAILS),
        (
            [claim("at 20 °C"), claim("60 °C"), claim("316 corrugated", ClaimKind.MATERIAL)],
            100,
            (),
            Outcome.FAILS,
        ),
        (
            [claim("at 20 °C"), claim("200 °C"), claim("316 corrugated", ClaimKind.MATERIAL)],
            100,
            (),
            Outcome.MEETS,
        ),
        # A seller's word for the hose does not bring its curve.
        (
            [claim("at 20 °C"), claim("316 corrugated", ClaimKind.MATERIAL, level=WORD)],
            100,
            (),
            Outcome.NOT_SHOWN,
        ),
        # What a document says and nobody can read may be less.
        ([claim("100 °C"), claim("water 60 °C; oil 100 °C")], 80, (), Outcome.NOT_SHOWN),
        ([claim("100 °C"), claim("water 60 °C; oil 100 °C", level=WORD)], 80, (), Outcome.MEETS),
        ([claim("60 °C"), claim("water 60 °C; oil 100 °C")], 80, (), Outcome.FAILS),
        ([claim("similar to EN 853", ClaimKind.STANDARD)], 90, ("oil",), Outcome.NOT_SHOWN),
        ([claim("DIN EN 853:2015 2SN", ClaimKind.STANDARD)], 90, ("oil",), Outcome.MEETS),
    ],
)
def test_limits(
    claims: list[Claim], temp_c: int, fluids: tuple[str, ...], outcome: Outcome
) -> None:
    """EN 853:2015 by handbook 1.7 (S5): so it is not hot-water-cleaner hose."""
    found = check_temperature(claims, temp_c, fluids)
    assert found.outcome == outcome
    assert f"{temp_c} °C" in found.text


def test_a_curve_is_taken_only_for_the_hose_that_it_is_about() -> None:
    assert curve_for([claim("1.4401 corrugated metal hose", ClaimKind.MATERIAL)]) == METAL_HOSE
    assert curve_for([claim("316 stainless", ClaimKind.MATERIAL)]) == ""


@given(st.lists(st.integers(-20, 200), max_size=3), st.integers(-20, 200), st.integers(0, 100))
def test_a_hotter_place_never_improves_the_outcome(
    limits: list[int], temp_c: int, more: int
) -> None:
    claims = [claim(f"{limit} °C") for limit in limits]
    cool, hot = check_temperature(claims, temp_c), check_temperature(claims, temp_c + more)
    assert GRAVITY[hot.outcome] >= GRAVITY[cool.outcome]
