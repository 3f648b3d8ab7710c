"""A fresh database for each test, open for writing, with two makers and a few parts."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from partsdb.store import catalogue, makers, migrate
from partsdb.store.connect import init_database, open_database
from partsdb.store.rows import NewPart, Stamp

BY = Stamp("Ilse", "2026-03-02T09:30:00Z")


@pytest.fixture(scope="session")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("empty") / "shop.db"
    init_database(place)
    return place


@pytest.fixture
def path(empty: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(empty, tmp_path / "shop.db"))


@pytest.fixture
def opened(path: Path) -> Iterator[Path]:
    with open_database(path, write=True):
        yield path


@pytest.fixture
def before_migration(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], Path]:
    """Return a function that makes a database as it was before the migration that says a word."""

    def made(word: str) -> Path:
        path, known = tmp_path / "old.db", migrate.migrations()
        mine = next(version for version, script in known if word in script)
        before = [each for each in known if each[0] < mine]
        with monkeypatch.context() as old:
            old.setattr(migrate, "migrations", lambda: before)
            old.setattr(migrate, "newest_version", lambda: before[-1][0])
            init_database(path)
        return path

    return made


@dataclass(frozen=True)
class Shop:
    """The ids of what the fixture stored."""

    quillmere: int
    corrowby: int
    kit: int
    copy: int
    better: int
    hose: int


@pytest.fixture
def shop(opened: Path) -> Shop:
    quillmere, corrowby = makers.add_maker("Quillmere"), makers.add_maker("Corrowby")
    parts = [
        NewPart(quillmere, "24-1180", "Valve kit, bypass", "valve kit"),
        NewPart(corrowby, "CW 40311", "Valve kit, bypass, copy", "valve kit"),
        NewPart(quillmere, "24-1182", "Valve kit, bypass, carbide", "valve kit"),
        NewPart(quillmere, "27-1243", "Hose 1/4 in, 50 ft", "hose"),
    ]
    return Shop(quillmere, corrowby, *catalogue.add_parts(parts, by=BY))
