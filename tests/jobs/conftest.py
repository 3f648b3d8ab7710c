"""An empty database, open, for tests that put their own small shop into it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from small_shop import SmallShop

from partsdb.rules.facts import KitItem
from partsdb.store.connect import init_database, open_database


@pytest.fixture(scope="session")
def empty_database(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("small") / "small.db"
    init_database(place)
    return place


@pytest.fixture
def small(empty_database: Path, tmp_path: Path) -> Iterator[SmallShop]:
    place = Path(shutil.copy(empty_database, tmp_path / "small.db"))
    with open_database(place, write=True):
        yield SmallShop()


@pytest.fixture(scope="session")
def bypass_shop(empty_database: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The bypass kit of a pump, three relatives and a hose: a catalogue that is read at once."""
    place = Path(shutil.copy(empty_database, tmp_path_factory.mktemp("bypass") / "shop.db"))
    with open_database(place, write=True):
        small = SmallShop()
        held = (KitItem("Ball", "ball", 1, "wear item", "tungsten carbide"),)
        said = "Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat"
        kits = [
            small.part("24-1180", "valve kit", rating="3300 psi", description=f"{said}, 3300 psi"),
            small.part("24-1182", "valve kit", rating="3600 psi", description=f"{said}, 3600 psi"),
            small.part("24-1178", "valve kit", rating="3000 psi", description=f"{said}, 3000 psi"),
        ]
        small.edge(kits[2], kits[0])
        small.part("CW 40311", "valve kit", maker="Corrowby", contents=held, description=said)
        hose = "Hose, airless, conductive, 1/4 in x 15 m, 3300 psi"
        small.part("27-1243", "hose", rating="3300 psi", description=hose)
        small.position(small.machine(), "bypass valve", "valve kit", (kits[0],), "3300 psi")
        small.supplier("Saltreeve", "GBP")
        small.supplier("Kestrow")
    return place
