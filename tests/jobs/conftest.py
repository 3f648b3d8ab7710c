"""Small shops, open: an empty one for tests that fill it themselves, and the bypass kits'."""

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


@pytest.fixture
def bypass(bypass_shop: Path, tmp_path: Path) -> Iterator[SmallShop]:
    """A copy of the bypass shop, open, with what adds to it."""
    place = Path(shutil.copy(bypass_shop, tmp_path / "shop.db"))
    with open_database(place, write=True):
        yield SmallShop()


@pytest.fixture
def list_folder(bypass: SmallShop, tmp_path: Path) -> Path:
    """A folder for the lists that a test writes, while the bypass shop is open."""
    return tmp_path
