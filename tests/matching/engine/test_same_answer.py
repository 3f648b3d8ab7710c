"""The same answer byte for byte: hash seeds, order of lines and parts, number of processes."""

from __future__ import annotations

import hashlib
import os
import random
import subprocess
import sys
from pathlib import Path

import pytest

from partsdb.matching.engine import run
from partsdb.matching.engine.match import Lines
from tests.matching.engine.small_shop import catalogue, indexed, seeded_lines, seeded_parts
from tests.matching.engine.test_large_lists import ODD, odd_lines, odd_parts
from tests.matching.engine.two_ways import TwoWays

ROOT = Path(__file__).resolve().parents[3]
PARTS = seeded_parts(800, seed=11)
ROWS = seeded_lines(PARTS, 1500, seed=12)

_PROGRAM = """
import sys
from pathlib import Path
from tests.matching.engine.test_same_answer import digest_of_a_run
print(digest_of_a_run(Path(sys.argv[1]), seed=int(sys.argv[2])))
"""


def answers(folder: Path, rows: list[tuple[str, str, str]], workers: int) -> list[str]:
    """Return lane, offered parts and evidence of every row, one text a row."""
    columns = [list(column) for column in zip(*rows, strict=True)]
    told = []
    for found, evidence in run.match_list(folder, Lines(*columns), workers=workers):
        told += [f"{lane} {text}" for lane, text in zip(found.lane.tolist(), evidence, strict=True)]
    return told


def digest_of_a_run(folder: Path, *, seed: int) -> str:
    """Index the parts and read the rows, both shuffled; return a digest in the rows' own order."""
    rng = random.Random(seed)
    parts, order = list(PARTS), list(range(len(ROWS)))
    rng.shuffle(parts)
    rng.shuffle(order)
    indexed(folder, tuple(parts))
    told = answers(folder, [ROWS[i] for i in order], workers=1)
    back = [text for _, text in sorted(zip(order, told, strict=True))]
    return hashlib.sha256("\n".join(back).encode()).hexdigest()


_READ = """
import sys
from pathlib import Path
from tests.matching.engine.test_same_answer import digest_of_readings
print(digest_of_readings(Path(sys.argv[1]), seed=int(sys.argv[2])))
"""


def digest_of_readings(folder: Path, *, seed: int) -> str:
    """Read odd lines in bulk, parts and lines shuffled; return a digest in the lines' own order."""
    parts = odd_parts(300, random.Random(7))
    lines = odd_lines(parts, 300, random.Random(8))
    rng = random.Random(seed)
    order = rng.sample(range(len(lines)), len(lines))
    shop = TwoWays(folder, rng.sample(parts, len(parts)))
    told = map(repr, shop.in_bulk([lines[at] for at in order], ODD))
    back = [text for _, text in sorted(zip(order, told, strict=True))]
    return hashlib.sha256("\n".join(back).encode()).hexdigest()


@pytest.mark.parametrize("hash_seed", ["1", "4242"])
def test_a_list_read_in_bulk_depends_on_neither_hash_seed_nor_order(
    tmp_path: Path, hash_seed: str
) -> None:
    told = subprocess.run(
        [sys.executable, "-c", _READ, str(tmp_path / "there"), hash_seed],
        env={**os.environ, "PYTHONHASHSEED": hash_seed, "PYTHONPATH": str(ROOT)},
        check=True, capture_output=True, text=True,
    )  # fmt: skip
    assert told.stdout.strip() == digest_of_readings(tmp_path / "here", seed=0)


@pytest.fixture(scope="module")
def expected(tmp_path_factory: pytest.TempPathFactory) -> str:
    return digest_of_a_run(tmp_path_factory.mktemp("first"), seed=0)


@pytest.mark.parametrize("hash_seed", ["1", "4242"])
def test_the_hash_seed_and_the_order_of_lines_and_parts_change_nothing(
    tmp_path: Path, expected: str, hash_seed: str
) -> None:
    told = subprocess.run(
        [sys.executable, "-c", _PROGRAM, str(tmp_path), hash_seed],
        env={**os.environ, "PYTHONHASHSEED": hash_seed, "PYTHONPATH": str(ROOT)},
        check=True, capture_output=True, text=True,
    )  # fmt: skip
    assert told.stdout.strip() == expected


@pytest.mark.parametrize("workers", [1, 2, 3])
def test_the_number_of_processes_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, workers: int
) -> None:
    monkeypatch.setattr(run, "CHUNK", 130)
    monkeypatch.setattr(run, "_WORTH_WORKERS", 0)
    indexed(tmp_path, PARTS)
    several = answers(tmp_path, ROWS, workers)
    monkeypatch.setattr(run, "CHUNK", 100_000)
    assert several == answers(tmp_path, ROWS, 1)
    assert len({text.split()[0] for text in several}) == 3


def test_the_index_of_shuffled_parts_is_the_same_to_the_byte(tmp_path: Path) -> None:
    shuffled = list(PARTS)
    random.Random(9).shuffle(shuffled)
    one, two = indexed(tmp_path / "one", PARTS), indexed(tmp_path / "two", tuple(shuffled))
    files = sorted(path.name for path in one.base.folder.iterdir())
    assert files == sorted(path.name for path in two.base.folder.iterdir())
    for name in files:
        assert (one.base.folder / name).read_bytes() == (two.base.folder / name).read_bytes(), name
    assert catalogue(PARTS).in_order() == catalogue(PARTS)
