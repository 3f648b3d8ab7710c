"""Spoiled files for every reader: each is read, or refused in one sentence; nothing else happens.

    python tests/bench/fuzz_readers.py [--files 100000] [--workers 2] [--seed 1]

Each worker process is bounded in memory as the child process of a real read is; a file that takes
over ten seconds counts as a hang. The last line is one JSON object.
"""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BENCH = Path(__file__).resolve().parent
# This folder must not be searched first: a module of the standard library is called numbers as well.
sys.path[0] = str(ROOT)
sys.path[1:1] = [str(ROOT / "tests" / "support")]

import argparse
import json
import logging
import multiprocessing
import random
import resource
import signal
import tempfile
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor

sys.path.append(str(BENCH))

from figures import table
from reader_seeds import seeds, spoiled

from importers import Limits, ReaderError, read_price_list, read_price_list_bounded

SHARES = {"csv": 26, "json lines": 16, "edifact": 16, "x12": 16, "ubl": 10, "fixed width": 8,
          "xlsx": 4, "xls": 1.5, "ods": 1.5, "pdf": 1}  # fmt: skip
LIMITS = Limits(unpacked_bytes=20_000_000, memory_bytes=1024**3)
SECONDS = 10
# Read by a library that ends its whole process when memory runs out: in a child, as a user does.
IN_CHILD = ("xls", "ods")


class Hang(Exception):
    """The file took too long."""


def _stop(*_: object) -> None:
    raise Hang


def read_one(path: Path, kind: str) -> str:
    """Return "read", "refused", or what went wrong."""
    signal.alarm(SECONDS)
    try:
        if kind in IN_CHILD:
            read_price_list_bounded(path, limits=LIMITS)
        else:
            read_price_list(path, limits=LIMITS)
    except ReaderError as error:
        return "refused" if error.place and error.hint else f"no place or hint: {error}"
    except Hang:
        return "HANG"
    except MemoryError:
        return "MEMORY"
    except BaseException as error:  # whatever else comes out is what the bench looks for
        return f"CRASH {type(error).__name__}: {error}"
    finally:
        signal.alarm(0)
    return "read"


def work(job: tuple[str, bytes, str, int]) -> tuple[str, Counter[str], list[str], float]:
    """Read `count` spoiled copies of one seed; tell the first bad ones."""
    kind, data, seed, count = job
    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (2 * LIMITS.memory_bytes, hard))
    logging.disable(logging.CRITICAL)  # of the PDF library, about what is spoiled
    signal.signal(signal.SIGALRM, _stop)
    rng = random.Random(seed)
    counts: Counter[str] = Counter()
    bad: list[str] = []
    slowest = 0.0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "list.any"
        for _ in range(count):
            path.write_bytes(spoiled(data, rng))
            started = time.perf_counter()
            outcome = read_one(path, kind)
            slowest = max(slowest, time.perf_counter() - started)
            if outcome not in ("read", "refused"):
                bad.append(f"{kind}: {outcome[:300]}")
            counts[outcome if outcome in ("read", "refused") else "BAD"] += 1
    return kind, counts, bad[:3], slowest


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--files", type=int, default=100_000)
    options.add_argument("--workers", type=int, default=2)
    options.add_argument("--seed", type=int, default=1)
    given = options.parse_args()
    kinds, jobs = seeds(), []
    for kind, share in SHARES.items():
        wanted, size = -(-int(given.files * share) // 100), 500
        for start in range(0, wanted, size):
            seed = f"{given.seed} {kind} {start}"
            jobs.append((kind, kinds[kind], seed, min(size, wanted - start)))
    totals: dict[str, Counter[str]] = {kind: Counter() for kind in SHARES}
    slowest = dict.fromkeys(SHARES, 0.0)
    bad: list[str] = []
    spawn = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(given.workers, mp_context=spawn) as pool:
        for kind, counts, wrong, slow in pool.map(work, jobs):
            totals[kind] += counts
            bad += wrong
            slowest[kind] = max(slowest[kind], slow)
    shown = [(k, c["read"], c["refused"], c["BAD"], slowest[k]) for k, c in totals.items()]
    table(("kind", "read", "refused", "bad", "slowest s"), shown)
    for each in dict.fromkeys(bad):
        print("bad:", each)
    count = sum(sum(c.values()) for c in totals.values())
    wrong = sum(c["BAD"] for c in totals.values())
    print(json.dumps({"files": count, "bad": wrong, "slowest_s": max(slowest.values())}))
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
