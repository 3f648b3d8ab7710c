"""What one word states (arithmetic by hand; inch and psi by NIST SP 811)."""

from __future__ import annotations

import pytest

from partsdb.matching.engine.words import (
    COUNTED,
    DECIMAL,
    FIRST_OF_LETTERS,
    INTEGER,
    LENGTH,
    MATERIAL,
    PRESSURE,
    SIDE,
    THREAD,
    VOLTAGE,
    word_sense,
)


@pytest.mark.parametrize(
    ("word", "kind", "value"),
    [
        ("3/8", LENGTH, 9.525),
        ("1/4IN", LENGTH, 6.35),
        ("15MM", LENGTH, 15.0),
        ("50FT", LENGTH, 15240.0),
        ("250BAR", PRESSURE, 250.0),
        ("25MPA", PRESSURE, 250.0),
        ("3300PSI", PRESSURE, 227.527),
        ("230V", VOLTAGE, 230.0),
        ("0.019", DECIMAL, 0.019),
        ("390", INTEGER, 390.0),
        ("-12", INTEGER, -12.0),
        ("NPT", THREAD, 1.0),
        ("BSPP", THREAD, 3.0),
        ("BRASS", MATERIAL, 1.0),
        ("UPPER", SIDE, 1.0),
        ("KIT", 0, 0.0),
        ("2PCS", 0, 0.0),
    ],
)
def test_a_word_states_a_measure(word: str, kind: int, value: float) -> None:
    sense = word_sense(word)
    assert (sense.kind, pytest.approx(sense.value, abs=0.001)) == (kind, value)


@pytest.mark.parametrize(
    ("word", "unit", "scale"), [("MM", LENGTH, 1.0), ('"', LENGTH, 25.4), ("BAR", PRESSURE, 1.0)]
)
def test_a_unit_measures_the_figure_before_it(word: str, unit: int, scale: float) -> None:
    assert (word_sense(word).unit, word_sense(word).scale) == (unit, scale)


def test_a_count_takes_its_figure_out_of_the_comparison() -> None:
    assert word_sense("PCS").unit == COUNTED


def test_letters_beside_a_figure_make_a_kind_of_their_own() -> None:
    pump, other, mesh = word_sense("AP450"), word_sense("AP475"), word_sense("450MESH")
    assert pump.kind == other.kind >= FIRST_OF_LETTERS
    assert (pump.value, other.value) == (450.0, 475.0)
    assert mesh.kind not in (pump.kind, 0)
