"""An empty database, open, for tests that put their own small shop into it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from small_shop import SmallShop, built_bypass_shop

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
def bypass_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return built_bypass_shop(tmp_path_factory.mktemp("bypass") / "shop.db")
