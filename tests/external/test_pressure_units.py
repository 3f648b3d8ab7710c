"""Our units of pressure against pint and the printed factors of NIST SP 811."""

from __future__ import annotations

from fractions import Fraction

import pytest

from partsdb.rules.pressure_units import unit_named

pytestmark = pytest.mark.external

PINT_NAMES = {
    "psi": "psi", "ksi": "ksi", "bar": "bar", "mbar": "millibar", "MPa": "megapascal",
    "kPa": "kilopascal", "Pa": "pascal", "kgf/cm2": "kilogram_force / centimeter ** 2",
    "atm": "standard_atmosphere",
}  # fmt: skip


@pytest.mark.parametrize("name", PINT_NAMES)
def test_a_unit_is_as_large_as_pint_says(external, name: str) -> None:
    registry = external("pint").UnitRegistry()
    theirs = registry.Quantity(1, PINT_NAMES[name]).to("pascal").magnitude
    assert float(unit_named(name).pascals) == pytest.approx(theirs, rel=1e-12)


def test_a_unit_is_exactly_as_large_as_pint_reckons_in_fractions(external) -> None:
    registry = external("pint").UnitRegistry(non_int_type=Fraction)
    for name in ("psi", "bar", "kgf/cm2", "atm"):
        theirs = registry.Quantity(Fraction(1), PINT_NAMES[name]).to("pascal").magnitude
        assert unit_named(name).pascals == theirs, name


@pytest.mark.parametrize(
    ("name", "printed"),
    [
        ("psi", "6.894757E+03"),
        ("ksi", "6.894757E+06"),
        ("bar", "1.0E+05"),
        ("mbar", "1.0E+02"),
        ("atm", "1.01325E+05"),
        ("kgf/cm2", "9.80665E+04"),
    ],
)
def test_a_unit_rounds_to_the_factor_that_nist_prints(name: str, printed: str) -> None:
    """NIST SP 811 (2008) appendix B.8, the printed factors, from memory."""
    digits = len(printed.split("E")[0]) - 2
    assert f"{float(unit_named(name).pascals):.{digits}E}" == f"{float(printed):.{digits}E}"


def test_known_conversions_of_an_independent_program() -> None:
    """GNU units 2.22: 3300 psi = 227.52699 bar; 227 bar = 3292.3566 psi (references.md)."""
    psi, bar = unit_named("psi").pascals, unit_named("bar").pascals
    assert round(float(3300 * psi / bar), 5) == 227.52699
    assert round(float(227 * bar / psi), 4) == 3292.3566
