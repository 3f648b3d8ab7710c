"""Does long work on two processors: the second half in a forked copy of this very process.

The copy holds all that this process holds and gives back plain results; it must touch neither
database nor files. Where it cannot be made, or dies, the work is done here: the answer is the same.
"""

from __future__ import annotations

import multiprocessing
import os
import sys
import threading
from collections.abc import Callable, Sequence
from multiprocessing.connection import Connection
from typing import TypeVar

_Thing = TypeVar("_Thing")
_Result = TypeVar("_Result")
_Work = Callable[[Sequence[_Thing]], list[_Result]]

# Fewer lines are done before a copy would have answered.
_WORTH_A_COPY = 1_000


def in_halves(work: _Work[_Thing, _Result], things: Sequence[_Thing]) -> list[_Result]:
    """Return work(things), which must be each thing's own result in order."""
    if len(things) < _WORTH_A_COPY or not _may_fork():
        return work(things)
    middle = len(things) // 2
    context = multiprocessing.get_context("fork")
    receiving, sending = context.Pipe(duplex=False)
    copy = context.Process(target=_answer, args=(sending, work, things[middle:]), daemon=True)
    copy.start()
    sending.close()
    try:
        return work(things[:middle]) + (_received(receiving) or work(things[middle:]))
    finally:
        # Its answer is here, or not wanted any more: it must not wait for somebody to take it.
        copy.kill()
        copy.join()
        receiving.close()


def _may_fork() -> bool:
    """Say whether a copy is safe and of use: no other thread, a second processor, no third copy."""
    if sys.platform != "linux" or threading.active_count() > 1:
        return False
    is_copy = multiprocessing.parent_process() is not None
    return not is_copy and len(os.sched_getaffinity(0)) > 1


def _answer(sending: Connection, work: _Work[_Thing, _Result], things: Sequence[_Thing]) -> None:
    # Whatever goes wrong here goes wrong once more where it is told.
    sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    sending.send(work(things))
    sending.close()


def _received(receiving: Connection) -> list[_Result] | None:
    """Return what the copy sent, None when it died before, or in the middle of it."""
    try:
        received: list[_Result] = receiving.recv()
    except (EOFError, OSError):
        return None
    return received
