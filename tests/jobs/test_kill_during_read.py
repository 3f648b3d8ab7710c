"""kill -9 at any moment of a read leaves the whole batch or nothing of it."""

from __future__ import annotations

import random
import shutil
import time
from pathlib import Path

import pytest
from killed import batch_state, killed_after
from shop_lists import DAY, FIXTURES

from partsdb.jobs.intake import IntakeAsk, intake
from partsdb.jobs.who import stamp
from partsdb.store import makers
from partsdb.store.connect import open_database

MOMENTS = 20
LINES = 80  # enough to take a while, few enough for twenty runs


@pytest.fixture
def short_list(tmp_path):
    written = (FIXTURES / "lists" / "kestrow_preisliste.csv").read_bytes().splitlines(keepends=True)
    path = tmp_path / "short.csv"
    path.write_bytes(b"".join(written[:LINES]))
    return path


@pytest.fixture
def shop(bypass_shop, tmp_path):
    path = copied(bypass_shop, tmp_path)
    with open_database(path, write=True):
        if makers.find_supplier("Kestrow") is None:
            makers.add_supplier("Kestrow")
    return Path(shutil.copy(path, tmp_path / "ready.db"))


def copied(source, folder):
    with open_database(source, write=True):
        pass  # folds the write-ahead log into the file when the last connection closes
    return Path(shutil.copy(source, folder / "shop.db"))


def test_a_read_that_is_killed_leaves_the_whole_batch_or_nothing(shop, short_list):
    def read() -> None:
        with open_database(shop, write=True):
            intake(IntakeAsk(short_list, "Kestrow", DAY), stamp())

    def fresh(data: bytes) -> None:
        for path in shop.parent.glob(f"{shop.name}*"):
            path.unlink()
        shop.write_bytes(data)

    empty = shop.read_bytes()
    started = time.monotonic()
    read()
    took = time.monotonic() - started
    whole = batch_state(shop, DAY)
    assert whole[0] == 1 and whole[1] > LINES // 2 and whole[3] > 0

    rng = random.Random(5)
    seen = set()
    for number in range(MOMENTS):
        fresh(empty)
        killed_after(took * (number + rng.random()) / MOMENTS, read)
        seen.add(batch_state(shop, DAY))
    assert seen <= {(0, 0, 0, 0), whole}
    assert (0, 0, 0, 0) in seen  # some were killed before the end, or the test shows nothing
