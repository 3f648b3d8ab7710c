"""Which situations a piece of work amounts to."""

from __future__ import annotations

import pytest

from partsdb.rules.cautions import cautions_for
from partsdb.rules.facts import PositionDemand
from partsdb.rules.pressure import demand
from partsdb.rules.situations import situations_of
from partsdb.rules.verdict import Check, Outcome


def position(
    name: str = "hose", role: str = "hose", psi: int | None = 3300, *fluids: str
) -> PositionDemand:
    pressure = demand(f"{psi} psi") if psi else None
    return PositionDemand("Quillmere Q33", name, role, pressure, fluids=fluids)


@pytest.mark.parametrize(
    ("demands", "codes", "expected"),
    [
        ([position()], (), {"pressurised machine", "injection", "eyes"}),
        ([position(psi=None)], (), {"pressurised machine", "injection", "eyes"}),
        ([position("coupling", "coupling", 50)], (), {"pressurised machine"}),
        ([position("grip", "handle", None)], (), set()),
        ([position("hose", "hose", 3300, "mineral spirits")], (),
         {"pressurised machine", "injection", "eyes", "flammable fluid"}),
        ([position("bypass valve", "valve kit")], (),
         {"pressurised machine", "injection", "eyes", "relief valve"}),
        ([], ("HHC_ALUMINIUM", "BURST_ONLY"), {"solvent and aluminium", "burst only"}),
    ],
)  # fmt: skip
def test_the_situation_follows_from_positions_and_findings(demands, codes, expected) -> None:
    checks = [Check("fluid", Outcome.FAILS, "", code=code) for code in codes]
    assert set(situations_of(demands, checks)) == expected
    assert cautions_for(situations_of(demands, checks))
