"""Reads a stranger's file so that it can do no harm: in a child process of bounded memory and time.

Starting one costs about as long as starting Python. Small plain text cannot grow while it is
parsed, so it is read here.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from pathlib import Path

from importers.limits import Limits, current, used_up
from importers.plain_data import from_bytes
from importers.price_list import read_price_list
from importers.rows import PriceListText, Profile, ReaderError
from importers.source import load, reader_for

# Text of this size takes well under a second and a few dozen megabytes, whatever is in it.
SMALL_TEXT = 4 * 1024 * 1024


class ReaderFaultError(RuntimeError):
    """The child process ended in a fault of ours; the message is its trace."""


def read_price_list_bounded(
    path: Path | str, *, profiles: tuple[Profile, ...] = (), limits: Limits | None = None
) -> PriceListText:
    """Return a supplier's list as `read_price_list` does, whatever the file holds.

    `limits` are the default ones, as changed by the environment, when not given. Raises
    ReaderError for whatever cannot be read for certain or goes over a limit.
    """
    path, limits = Path(path), limits or current()
    if _is_small_text(path, limits):
        return read_price_list(path, profiles=profiles, limits=limits)
    return _in_child(path, profiles, limits)


def _is_small_text(path: Path, limits: Limits) -> bool:
    source = load(path, limits)
    return len(source.data) <= SMALL_TEXT and not reader_for(source).grows


def _in_child(path: Path, profiles: tuple[Profile, ...], limits: Limits) -> PriceListText:
    home = str(Path(__file__).resolve().parents[1])
    known = os.environ.get("PYTHONPATH", "")
    try:
        done = subprocess.run(
            [sys.executable, "-m", "importers.child"],
            input=pickle.dumps((path.absolute(), profiles, limits)),
            capture_output=True,
            timeout=limits.seconds,
            check=False,
            env=os.environ | {"PYTHONPATH": os.pathsep.join(filter(None, (home, known)))},
        )
    except subprocess.TimeoutExpired as error:
        raise used_up("seconds", limits.seconds, place=path.name) from error
    if done.returncode == 0:
        return from_bytes(done.stdout)
    raise _ended(done, path, limits)


def _ended(
    done: subprocess.CompletedProcess[bytes], path: Path, limits: Limits
) -> ReaderError | ReaderFaultError:
    """Tell a parser that the file brought down from a fault of our own."""
    said = done.stderr.decode("utf-8", "replace")
    if "MemoryError" in said or "memory allocation" in said:
        return used_up("memory_bytes", limits.memory_bytes, place=path.name)
    # A panic of a compiled parser is no exception that could be caught where it is called.
    if done.returncode < 0 or "PanicException" in said:
        return ReaderError(
            "the file brought its parser down, which no honest one does",
            place=path.name,
            hint="do not open it; ask the supplier for the list as .csv",
        )
    return ReaderFaultError(said)
