"""Push and hold of a thread in aluminium: by hand from the handbook's example, and by its laws."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.facts import PositionDemand
from partsdb.rules.pressure import demand
from partsdb.rules.thread_load import thread_load_notes
from partsdb.tables import rows


def notes(
    port: str, pressure: str = "3300 psi", block: str = "aluminium", **more
) -> tuple[str, ...]:
    place = PositionDemand(
        "Q33", "valve", "valve kit", demand(pressure), ports=(port,), block_material=block, **more
    )
    return thread_load_notes([place])


def test_a_taper_thread_is_told_its_push_alone() -> None:
    """22.753 MPa x pi/4 x (13.716 mm)² = 3.362 kN, by hand, rounded up."""
    [text] = notes("1/4-18 NPT female")
    assert text == "1/4 NPT: 3300 psi pushes with 3.4 kN at most, p x pi/4 x (13.716 mm)²."


def test_a_metric_thread_is_told_what_a_millimetre_of_it_holds() -> None:
    """Handbook 2.3: M20x1.5 in A380 over 12 mm strips at 98.7 kN: 8.2 kN a mm.

    The push on 20 mm: 22.753 MPa x pi/4 x 400 mm² = 7.148 kN; 4 x 7.148 / 8.229 = 3.5 mm.
    """
    [text] = notes("M20x1.5 female")
    assert "pushes with 7.2 kN at most" in text
    assert (
        "in A380 strips at 8.2 kN (FED-STD-H28/2B, 190 MPa), so 4 mm hold 4 times the push" in text
    )


def test_the_alloy_that_is_named_counts_and_else_the_weaker_one() -> None:
    assert "6061-T6 strips at 8.8 kN" in notes("M20x1.5 female", block="6061-T6")[0]
    assert "A380 strips" in notes("M20x1.5 female", block="aluminium casting")[0]


def test_the_stalled_machine_pushes() -> None:
    [text] = notes("1/4-18 NPT female", stall=demand("6600 psi"))
    assert "6600 psi pushes with 6.8 kN" in text


@pytest.mark.parametrize("port", ["as drawing", "quick coupling ISO 7241-A", ""])
def test_what_is_no_thread_is_told_nothing(port: str) -> None:
    assert notes(port) == ()


@given(st.integers(100, 20000), st.integers(0, 5000))
def test_more_pressure_never_pushes_less_nor_asks_for_less_thread(psi: int, more: int) -> None:
    def figures(each: int) -> tuple[float, int]:
        [text] = notes("M22x1.5 male", f"{each} psi")
        push = re.search(r"with ([\d.]+) kN", text)
        length = re.search(r"so (\d+) mm", text)
        assert push and length
        return float(push[1]), int(length[1])

    low, high = figures(psi), figures(psi + more)
    assert high[0] >= low[0] and high[1] >= low[1]


def test_the_limits_of_threads_are_those_of_the_standards_own_formulas() -> None:
    """ISO 965-1, from memory: es = 15 + 11 P, Td(6) = 180 P^(2/3) - 3.15/sqrt(P), and
    TD2(6) = 1.32 x 90 P^0.4 d^0.1 in micrometres, which the tables round to preferred numbers.
    """
    assert rows("thread_limits")
    for row in rows("thread_limits"):
        assert row["source"]
        size, pitch = (float(each) for each in row["size"].removeprefix("M").split("x"))
        assert pitch == float(row["pitch_mm"])
        under = (15 + 11 * pitch + 180 * pitch ** (2 / 3) - 3.15 / pitch**0.5) / 1000
        assert size - float(row["male_major_min_mm"]) == pytest.approx(under, rel=0.04)
        over = 1.32 * 90 * pitch**0.4 * size**0.1 / 1000
        basic = size - 0.649519 * pitch
        assert float(row["female_pitch_max_mm"]) - basic == pytest.approx(over, rel=0.08)
