"""A short slice of the fuzzing bench: a spoiled file of any kind is read, or refused in a sentence."""

from __future__ import annotations

import random

import pytest
from reader_seeds import seeds, spoiled

from importers import Limits, ReaderError, read_price_list, read_price_list_bounded

LIMITS = Limits(unpacked_bytes=20_000_000, memory_bytes=1024**3, seconds=60)
SEEDS = seeds()
COUNTS = {"csv": 200, "fixed width": 200, "json lines": 200, "edifact": 200, "x12": 200, "ubl": 200,
          "xlsx": 60, "pdf": 12}  # fmt: skip
IN_CHILD = ("xls", "ods")  # their library may end its process: read as a user's file is


@pytest.mark.parametrize("kind", SEEDS)
def test_every_seed_is_an_honest_list_of_its_own_kind(kind, tmp_path):
    path = tmp_path / "list.any"
    path.write_bytes(SEEDS[kind])
    read = read_price_list(path)
    assert any(row.kind == "item" and row.amounts.get("price") for row in read.rows)


def spoil_and_read(read, kind: str, count: int, path) -> None:
    rng = random.Random(f"slice {kind}")
    for _ in range(count):
        path.write_bytes(spoiled(SEEDS[kind], rng))
        try:
            found = read(path, limits=LIMITS)
        except ReaderError as error:
            assert error.place and error.hint
        else:
            assert found.profiles


@pytest.mark.parametrize("kind", COUNTS)
def test_a_spoiled_file_is_read_or_refused(kind, tmp_path):
    spoil_and_read(read_price_list, kind, COUNTS[kind], tmp_path / "list.any")


@pytest.mark.parametrize("kind", IN_CHILD)
def test_a_spoiled_workbook_of_another_program_is_read_or_refused(kind, tmp_path):
    spoil_and_read(read_price_list_bounded, kind, 6, tmp_path / "list.any")
