"""Spoiled files for every reader: each is read, or refused in one sentence; nothing else happens.

One in three is read against the layout of the honest file, as one that a person settled. One in
twenty-five is taken in as a batch of a small shop: all of its lines are stored, or nothing is.

    python tests/bench/fuzz_readers.py [--files 100000] [--workers 2] [--seed 1] [--kind xls]

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
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from functools import partial

sys.path.append(str(BENCH))

from figures import table
from reader_seeds import seeds, spoiled
from small_shop import BY, DAY, built_bypass_shop

from importers import Limits, Profile, ReaderError, read_price_list, read_price_list_bounded
from partsdb.errors import PartsdbError
from partsdb.jobs.doctor import doctor
from partsdb.jobs.intake import IntakeAsk, intake
from partsdb.store import sql
from partsdb.store.connect import open_database

SHARES = {"csv": 26, "json lines": 16, "edifact": 16, "x12": 16, "ubl": 10, "fixed width": 8,
          "xlsx": 4, "xls": 1.5, "ods": 1.5, "pdf": 1}  # fmt: skip
LIMITS = Limits(unpacked_bytes=20_000_000, memory_bytes=1024**3)
SECONDS = 10
# Read by a library that ends its whole process when memory runs out: in a child, as a user does.
IN_CHILD = ("xls", "ods")
SETTLED_ONE_IN, STORED_ONE_IN = 3, 25
TABLES = ("price_list", "line", "reading", "offer")


class Hang(Exception):
    """The file took too long."""


class HalfStored(Exception):
    """A list of which a part is stored, or one that was refused and left something."""


def _stop(*_: object) -> None:
    raise Hang


def guarded(work: Callable[[], None]) -> str:
    """Return "read", "refused", or what went wrong."""
    signal.alarm(SECONDS)
    try:
        work()
    except ReaderError as error:
        return "refused" if error.place and error.hint else f"no place or hint: {error}"
    except PartsdbError as error:
        return "refused" if error.message and error.exit_code != 1 else f"no sentence: {error}"
    except Hang:
        return "HANG"
    except MemoryError:
        return "MEMORY"
    except BaseException as error:  # whatever else comes out is what the bench looks for
        return f"CRASH {type(error).__name__}: {error}"
    finally:
        signal.alarm(0)
    return "read"


def read_one(path: Path, kind: str, profiles: tuple[Profile, ...]) -> None:
    if kind in IN_CHILD:
        read_price_list_bounded(path, profiles=profiles, limits=LIMITS)
    else:
        read_price_list(path, profiles=profiles, limits=LIMITS)


class Shop:
    """A small shop that spoiled lists are taken into."""

    def __init__(self, folder: Path) -> None:
        self.place = built_bypass_shop(folder / "shop.db")

    def take(self, path: Path) -> None:
        """Take a list in; raises HalfStored unless all of it is stored, or refused and nothing."""
        before, wanted = self.counts(), [0] * len(TABLES)
        try:
            with open_database(self.place, write=True):
                answer = intake(IntakeAsk(path, "Saltreeve", DAY), BY)
            if not answer.is_repeat:
                lines = answer.summary["lines"]
                wanted = [1, lines, lines, answer.offers]
        finally:
            stored = [now - was for now, was in zip(self.counts(), before, strict=True)]
            if stored != wanted and not isinstance(sys.exc_info()[1], Hang | MemoryError):
                raise HalfStored(f"{dict(zip(TABLES, stored, strict=True))}, not {wanted}")

    def counts(self) -> list[int]:
        with open_database(self.place):
            return [sql.rows(f"SELECT count(*) FROM {name}")[0][0] for name in TABLES]

    def is_sound(self) -> bool:
        with open_database(self.place):
            return not [f for f in doctor(DAY).findings if f.check == "file"]


def layouts(data: bytes, folder: Path) -> tuple[Profile, ...]:
    """Return the layout of the honest file as one that a person settled."""
    path = folder / "honest.any"
    path.write_bytes(data)
    read = read_price_list_bounded(path, limits=LIMITS)
    return tuple(replace(profile, confirmed="Ilse") for profile in read.profiles)


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
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        path, shop, settled = folder / "list.any", Shop(folder), layouts(data, folder)
        for number in range(count):
            path.write_bytes(spoiled(data, rng))
            started = time.perf_counter()
            given = settled if number % SETTLED_ONE_IN == 0 else ()
            outcomes = [guarded(partial(read_one, path, kind, given))]
            if number % STORED_ONE_IN == 0:
                outcomes.append(guarded(partial(shop.take, path)))
                counts["stored" if outcomes[-1] == "read" else "not stored"] += 1
            slowest = max(slowest, time.perf_counter() - started)
            wrong = [each for each in outcomes if each not in ("read", "refused")]
            bad += [f"{kind}: {each[:300]}" for each in wrong]
            counts["BAD" if wrong else outcomes[0]] += 1
        if not shop.is_sound():
            bad.append(f"{kind}: the database is broken")
            counts["BAD"] += 1
    return kind, counts, bad[:3], slowest


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--files", type=int, default=100_000)
    options.add_argument("--workers", type=int, default=2)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--kind", choices=SHARES, help="spoil files of this kind alone")
    given = options.parse_args()
    kinds, jobs = seeds(), []
    shares = {given.kind: 100} if given.kind else SHARES
    for kind, share in shares.items():
        wanted, size = -(-int(given.files * share) // 100), 500
        for start in range(0, wanted, size):
            seed = f"{given.seed} {kind} {start}"
            jobs.append((kind, kinds[kind], seed, min(size, wanted - start)))
    totals: dict[str, Counter[str]] = {kind: Counter() for kind in shares}
    slowest = dict.fromkeys(shares, 0.0)
    bad: list[str] = []
    spawn = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(given.workers, mp_context=spawn) as pool:
        for kind, counts, wrong, slow in pool.map(work, jobs):
            totals[kind] += counts
            bad += wrong
            slowest[kind] = max(slowest[kind], slow)
    columns = ("read", "refused", "BAD", "stored", "not stored")
    shown = [(k, *(c[each] for each in columns), slowest[k]) for k, c in totals.items()]
    table(("kind", *columns, "slowest s"), shown)
    for each in dict.fromkeys(bad):
        print("bad:", each)
    count = sum(c["read"] + c["refused"] + c["BAD"] for c in totals.values())
    stored = sum(c["stored"] for c in totals.values())
    wrong = sum(c["BAD"] for c in totals.values())
    slow = max(slowest.values())
    print(json.dumps({"files": count, "bad": wrong, "stored": stored, "slowest_s": slow}))
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
