"""What a hose carries may ask for more than four times its rating (handbook 1.3, trade table)."""

from __future__ import annotations

import pytest

from partsdb.rules.hose_class import class_of
from partsdb.rules.roles import burst_ratio, role_named


@pytest.mark.parametrize(
    ("role", "fluids", "temp_c", "ratio"),
    [
        ("hose", ("water-borne",), 50, 4),
        ("hose", (), None, 4),
        ("hose", ("steam",), 160, 10),
        ("whip hose", ("hot water", "Steam, saturated"), 90, 10),
        ("hose", ("propane",), 20, 5),
        ("hose", ("carbon dioxide",), 20, 5),
        ("hose", ("liquid CO2",), 20, 5),
        ("hose", ("hot water",), 100, 4),
        ("hose", ("hot water",), 101, 5),  # above 100 °C it leaves as steam
        ("hose", ("hydraulic oil",), 120, 4),
        ("fitting", ("steam",), 160, 4),
    ],
)
def test_the_ratio_follows_what_is_in_it(
    role: str, fluids: tuple[str, ...], temp_c: int | None, ratio: int
) -> None:
    assert burst_ratio(class_of(role_named(role), fluids, temp_c)) == ratio


def test_a_valve_has_none_whatever_flows_through_it() -> None:
    assert burst_ratio(class_of(role_named("valve kit"), ("steam",), 160)) is None
