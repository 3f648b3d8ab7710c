"""The Barlow screen of an unrated pipe nipple."""

from __future__ import annotations

from fractions import Fraction

import pytest

from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel
from partsdb.rules.nipples import barlow_burst_psi, pipe_wall, screen_nipple, wall_described
from partsdb.rules.pressure import demand
from partsdb.rules.verdict import Outcome
from partsdb.tables import rows

NEEDED = demand("3300 psi")


@pytest.mark.parametrize(
    ("schedule", "mill_tolerance", "working_psi"),
    [("40", "0", 2419), ("40", "0.125", 1808), ("80", "0", 4141), ("80", "0.125", 3315)],
)
def test_the_screen_gives_the_handbooks_table(
    schedule: str, mill_tolerance: str, working_psi: int
) -> None:
    """Handbook 1.5, the table of the 1/4 nipple; figures there are rounded down."""
    wall = pipe_wall("1/4", schedule)
    assert wall is not None
    burst = barlow_burst_psi(wall, mill_tolerance=Fraction(mill_tolerance))
    assert int(burst / 4) == working_psi


def test_a_plain_schedule_40_nipple_fails_by_the_screen() -> None:
    wall = pipe_wall("1/4", "40")
    assert wall is not None
    found = screen_nipple(wall, NEEDED)
    assert (found.outcome, found.code) == (Outcome.FAILS, "PRESSURE_LOW")
    assert "2419 psi" in found.text
    assert "3300 psi" in found.text


@pytest.mark.parametrize(("psi", "outcome"), [(2000, Outcome.NOT_SHOWN), (2500, Outcome.FAILS)])
def test_the_screen_fails_only_what_even_the_full_wall_cannot_hold(
    psi: int, outcome: Outcome
) -> None:
    """Handbook 1.5: 2419 psi with the full wall, 1808 with mill tolerance."""
    wall = pipe_wall("1/4", "40")
    assert wall is not None
    assert screen_nipple(wall, demand(f"{psi} psi")).outcome == outcome


def test_the_screen_never_passes_a_nipple() -> None:
    for row in rows("pipe_walls"):
        wall = pipe_wall(row["nps"], row["schedule"])
        assert wall is not None
        for psi in (100, 1000, 3300, 10000):
            outcome = screen_nipple(wall, demand(f"{psi} psi")).outcome
            assert outcome in (Outcome.FAILS, Outcome.NOT_SHOWN)
    sound = pipe_wall("1/4", "80")
    assert sound is not None
    assert screen_nipple(sound, NEEDED).outcome == Outcome.NOT_SHOWN


@pytest.mark.parametrize(
    ("description", "found"),
    [
        ("Nipple 1/4 NPT Sch 40", ("1/4", "40")),
        ("pipe nipple 1/4 x 2 in, schedule 80, steel", ("1/4", "80")),
        ("Nippel 3/8 NPT Sch.160", None),
        ("1/2 NPT close nipple XS", ("1/2", "80")),
        ("nipple 1/4 NPT", None),
        ("nipple Sch 40", None),
    ],
)
def test_size_and_schedule_are_read_from_the_description(
    description: str, found: tuple[str, str] | None
) -> None:
    wall = wall_described(description, ())
    assert (wall and (wall.nps, wall.schedule)) == found


def test_size_and_schedule_are_read_from_dimensions() -> None:
    claims = tuple(
        Claim(ClaimKind.DIMENSION, value, EvidenceLevel.SUPPLIERS_WORD, about)
        for about, value in (("nps", "1/4"), ("schedule", "40"))
    )
    wall = wall_described("nipple", claims)
    assert wall is not None
    assert (wall.nps, wall.schedule) == ("1/4", "40")


def test_every_wall_of_the_table_leaves_a_bore_and_is_thicker_with_its_schedule() -> None:
    by_size: dict[str, list[Fraction]] = {}
    for row in rows("pipe_walls"):
        assert Fraction(row["od_in"]) > 2 * Fraction(row["wall_in"])
        by_size.setdefault(row["nps"], []).append(Fraction(row["wall_in"]))
    assert all(walls == sorted(walls) for walls in by_size.values())
