"""The child process: parses one file under a bound on memory and time, and writes what it read.

Run as "python -m importers.child"; the request comes on stdin, the answer goes to stdout.
"""

from __future__ import annotations

import gc
import pickle
import sys

from importers.limits import Limits, used_up
from importers.plain_data import to_bytes
from importers.price_list import read_price_list
from importers.rows import PriceListText, ReaderError


def main() -> None:
    """Read the request, the file, and answer."""
    path, profiles, limits = pickle.load(sys.stdin.buffer)  # written by our own parent
    bind(limits)
    gc.disable()  # the process ends with its one file; its memory is bounded anyhow
    read: PriceListText | ReaderError
    try:
        read = read_price_list(path, profiles=profiles, limits=limits)
        answer = to_bytes(read)
    except ReaderError as error:
        answer = to_bytes(error)
    except MemoryError:
        given_up = used_up("memory_bytes", limits.memory_bytes, place=path.name)
        answer = to_bytes(given_up)
    sys.stdout.buffer.write(answer)


def bind(limits: Limits) -> None:
    """Bound this process's address space and processor time, where the system can."""
    try:
        import resource
    except ImportError:  # not on Windows: there the time limit of the parent is all there is
        return
    for what, bound in (
        (resource.RLIMIT_AS, limits.memory_bytes),
        (resource.RLIMIT_CPU, limits.seconds + 5),
    ):
        _, hard = resource.getrlimit(what)
        bound = bound if hard == resource.RLIM_INFINITY else min(bound, hard)
        resource.setrlimit(what, (bound, bound))


if __name__ == "__main__":
    main()
