"""The invented Fennel Quay shop, built once per run; tests that write get a copy of their own."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings
from shop_lists import DAY, FIXTURES, LISTS

# A busy machine is no failure: generated tests are not timed.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")


@pytest.fixture(scope="session")
def fixtures_folder() -> Path:
    return FIXTURES


@pytest.fixture(scope="session")
def built_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shop's own data, no price list read."""
    from partsdb.jobs.catalogue import load_shop
    from partsdb.jobs.who import stamp_in_story
    from partsdb.store.connect import init_database, open_database

    path = tmp_path_factory.mktemp("shop") / "shop.db"
    init_database(path)
    with open_database(path, write=True):
        load_shop(FIXTURES / "shop", stamp_in_story(DAY))
    return path


@pytest.fixture(scope="session")
def built_shop_with_lists(built_shop: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shop with the three suppliers' lists read."""
    from partsdb.jobs.intake import IntakeAsk, intake
    from partsdb.jobs.who import stamp_in_story
    from partsdb.store.connect import open_database

    path = copied(built_shop, tmp_path_factory.mktemp("lists"))
    for supplier, name in LISTS:
        with open_database(path, write=True):
            intake(IntakeAsk(FIXTURES / "lists" / name, supplier, DAY), stamp_in_story(DAY))
    return path


def copied(source: Path, folder: Path) -> Path:
    from partsdb.store.connect import open_database

    with open_database(source, write=True):
        pass  # folds the write-ahead log into the file when the last connection closes
    return Path(shutil.copy(source, folder / source.name))


@pytest.fixture
def shop(built_shop: Path, tmp_path: Path) -> Path:
    return copied(built_shop, tmp_path)


@pytest.fixture
def shop_with_lists(built_shop_with_lists: Path, tmp_path: Path) -> Path:
    return copied(built_shop_with_lists, tmp_path)


@pytest.fixture
def in_shop(shop: Path) -> Iterator[Path]:
    """A copy of the shop, open for reading and writing during the test."""
    from partsdb.store.connect import open_database

    with open_database(shop, write=True):
        yield shop


@pytest.fixture
def in_shop_with_lists(shop_with_lists: Path) -> Iterator[Path]:
    from partsdb.store.connect import open_database

    with open_database(shop_with_lists, write=True):
        yield shop_with_lists
