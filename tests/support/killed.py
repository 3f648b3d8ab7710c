"""Kills a process that reads a price list, and says whether the store holds all of it or nothing."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable
from pathlib import Path

from partsdb.jobs.doctor import doctor
from partsdb.store import lists, offers
from partsdb.store.connect import open_database


def killed_after(seconds: float, work: Callable[[], object]) -> bool:
    """Run `work` in a forked process, kill -9 it after `seconds`; say whether it had ended."""
    child = os.fork()
    if not child:
        try:
            work()
        finally:
            os._exit(0)
    time.sleep(seconds)
    ended = os.waitpid(child, os.WNOHANG)[0] == child
    if not ended:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
    return ended


def batch_state(database: Path, day: str) -> tuple[int, int, int, int]:
    """Return how many lists, lines, readings and offers are stored; the file must be sound.

    Raises AssertionError where doctor finds the file broken.
    """
    with open_database(database):
        found = [each for each in doctor(day).findings if each.check == "file"]
        assert not found, found
        heads = lists.list_rows()
        counts = [
            (
                1,
                len(lists.lines_of(h.id)),
                len(lists.readings_of(h.id)),
                len(offers.offers_of_list(h.id)),
            )
            for h in heads
        ]
    return tuple(map(sum, zip(*counts, strict=True))) if counts else (0, 0, 0, 0)
