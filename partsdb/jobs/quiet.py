"""Keeps what a library writes of its own accord out of our answer on stdout."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def without_noise() -> Iterator[None]:
    """Send to nowhere what is written to the process's stdout inside the block.

    The solver of integer programs now and then writes a line there, past the language's own
    stream, and a program that reads our JSON would choke on it.
    """
    sys.stdout.flush()
    try:
        kept = os.dup(1)
    except OSError:  # there is no stdout
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(nowhere)
        os.close(kept)
