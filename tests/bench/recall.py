"""How fast a recall is over a million fittings: each question a new process, as at the counter.

    python tests/bench/recall.py [--fittings 1000000] [--questions 5] [--keep FOLDER]

The shop is invented and seeded: 20 suppliers, 2,000 parts, lots of 40 to 60 units, one fitting in
fifty without a lot. Asked are single lots, serials, parts in a span of days, and one lot of 2,000
units; the time is that of the whole command, start-up included. Cold is a new Python process; the
file is dropped from the page cache where the system allows it. On a busy machine look at the CPU
seconds, and at what the recall takes beyond start-up. The last line is one JSON object.
"""

from __future__ import annotations

import sys
from pathlib import Path

# This folder must not be searched: a module of the standard library is called numbers as well.
sys.path[0] = str(Path(__file__).resolve().parents[2])

import argparse
import json
import os
import random
import statistics
import subprocess
import tempfile
import time

from tests.bench import figures

SUPPLIERS, PARTS, MACHINES = 20, 2_000, 40
TARGET_S = 0.4


def build(path: Path, fittings: int, seed: int = 7) -> None:
    """Fill a new database; what the shop knows of the parts is of no matter to a recall."""
    from partsdb.store import catalogue, machines, makers, sql
    from partsdb.store.connect import init_database, open_database
    from partsdb.store.rows import NewPart, Stamp

    rng = random.Random(seed)
    by = Stamp("bench", "2026-01-01T00:00:00Z")
    init_database(path)
    with open_database(path, write=True):
        maker = makers.add_maker("Quillmere")
        suppliers = [makers.add_supplier(f"Supplier {n}") for n in range(SUPPLIERS)]
        parts = catalogue.add_parts([NewPart(maker, f"24-{n:05d}") for n in range(PARTS)], by=by)
        models = [machines.add_machine(maker, f"Q{n}") for n in range(MACHINES)]
        _lots(sql, rng, suppliers, parts, fittings)
        _jobs(sql, rng, models, fittings)
        _fittings(sql, rng, fittings)
        sql.run("ANALYZE")


def _day(rng: random.Random, first: int = 2016) -> str:
    return f"{rng.randrange(first, 2026)}-{rng.randrange(1, 13):02d}-{rng.randrange(1, 29):02d}"


def _lots(sql, rng, suppliers, parts, fittings) -> None:
    count = fittings // 50
    rows = (
        (n, rng.choice(suppliers), rng.choice(parts), f"L{n}", f"L{n}", _day(rng),
         2_000 if n == 1 else 60, "accepted")
        for n in range(1, count + 1)
    )  # fmt: skip
    sql.insert_many(
        "lot", "id, supplier_id, part_id, label, label_key, received_at, units, state", rows
    )


def _jobs(sql, rng, models, fittings) -> None:
    count = fittings // 3
    rows = (
        (n, _day(rng), rng.choice(models), f"S{rng.randrange(count // 4)}", f"C-{n % 9973}")
        for n in range(1, count + 1)
    )
    sql.insert_many("job", "id, opened_at, machine_id, serial, customer_ref", rows)


def _fittings(sql, rng, fittings) -> None:
    lots = [(row[0], row[1], row[2]) for row in sql.rows("SELECT id, part_id, units FROM lot")]
    jobs = fittings // 3
    rows = []
    for lot, part, units in lots:
        for _ in range(min(units - 8, fittings - len(rows))):
            known = rng.random() < 0.98
            rows.append((rng.randrange(1, jobs), part, lot if known else None, 1, _day(rng)))
    while len(rows) < fittings:
        lot, part, _ = lots[rng.randrange(1, len(lots))]
        rows.append((rng.randrange(1, jobs), part, lot, 1, _day(rng)))
    rng.shuffle(rows)
    sql.insert_many("fitting", "job_id, part_id, lot_id, units, at", rows)
    backs = ((rng.randrange(1, fittings), _day(rng), "leak", 0) for _ in range(fittings // 50))
    sql.insert_many("comeback", "fitting_id, at, cause, pressure_boundary", backs)


def forget(path: Path) -> bool:
    """Drop the file from the page cache; say whether the system did it."""
    if not hasattr(os, "posix_fadvise"):
        return False
    with path.open("rb") as file:
        os.fsync(file.fileno())
        os.posix_fadvise(file.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)
    return True


def ask(path: Path, typed: list[str], *, cold: bool) -> tuple[float, float, int]:
    """Return wall seconds and CPU seconds of one command, and how many machines it named."""
    if cold:
        forget(path)
    command = [sys.executable, "-m", "partsdb", "--db", str(path), "--format", "json", *typed]
    before, began = os.times(), time.perf_counter()
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    took, after = time.perf_counter() - began, os.times()
    cpu = sum(after[2:4]) - sum(before[2:4])  # of the children, user and system
    return took, cpu, len(json.loads(done.stdout)["data"]["machines"])


def inside(path: Path, count: int) -> float:
    """Return the median CPU seconds of a lot's recall in a process that runs already."""
    from partsdb.jobs.trace import TraceAsk, trace_recall
    from partsdb.store.connect import open_database

    times = []
    with open_database(path):
        for lot in range(2, 2 + count):
            began = time.process_time()
            trace_recall(TraceAsk("2026-11-20", lot=f"L{lot}"))
            times.append(time.process_time() - began)
    return statistics.median(times)


def card(path: Path) -> float:
    """Return the CPU seconds of the scorecard of suppliers in a process that runs already."""
    from partsdb.jobs.scorecard import scorecard
    from partsdb.store.connect import open_database

    with open_database(path):
        began = time.process_time()
        scorecard("supplier", "2026-11-20")
        return time.process_time() - began


def start_up(path: Path) -> tuple[float, float]:
    """Return wall and CPU seconds of the same program listing the newest jobs, medians of 5."""
    command = [
        sys.executable,
        "-m",
        "partsdb",
        "--db",
        str(path),
        "--format",
        "json",
        "job",
        "show",
    ]
    times = []
    for _ in range(5):
        before, began = os.times(), time.perf_counter()
        subprocess.run(command, capture_output=True, check=True)
        after = os.times()
        times.append((time.perf_counter() - began, sum(after[2:4]) - sum(before[2:4])))
    return statistics.median(t for t, _ in times), statistics.median(c for _, c in times)


def questions(count: int, fittings: int, rng: random.Random) -> dict[str, list[list[str]]]:
    lots, serials = fittings // 50, fittings // 12
    return {
        "lot": [["lot", "trace", f"L{rng.randrange(2, lots)}"] for _ in range(count)],
        "serial": [
            ["lot", "trace", "--serial", f"S{rng.randrange(serials)}"] for _ in range(count)
        ],
        "part, one year": [
            ["lot", "trace", "--part", f"24-{rng.randrange(PARTS):05d}", "--since", "2025-01-01"]
            for _ in range(count)
        ],
        "big lot (2,000)": [["lot", "trace", "L1"]] * 3,
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--fittings", type=int, default=1_000_000)
    parser.add_argument("--questions", type=int, default=5)
    parser.add_argument("--keep", type=Path, help="build (or find) the database here")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as temporary:
        folder = given.keep or Path(temporary)
        folder.mkdir(parents=True, exist_ok=True)
        path = folder / f"recall-{given.fittings}.db"
        if not path.exists():
            build(path, given.fittings)
        measure(path, given)


def measure(path: Path, given: argparse.Namespace) -> None:
    rows, wall, cpu = [], {}, {}
    asked = questions(given.questions, given.fittings, random.Random(1))
    for cold in (False, True):
        for kind, each in asked.items():
            results = [ask(path, typed, cold=cold) for typed in each]
            name = f"{kind}, {'dropped' if cold else 'in memory'}"
            wall[name] = statistics.median(took for took, _, _ in results)
            cpu[name] = statistics.median(used for _, used, _ in results)
            machines = statistics.median(count for _, _, count in results)
            rows.append((name, len(results), machines, wall[name], cpu[name]))
    figures.table(("question", "asked", "machines", "wall s", "CPU s"), rows)
    base_wall, base_cpu = start_up(path)
    own = inside(path, 20)
    print(f"start-up and opening alone: {base_wall:.3f} s wall, {base_cpu:.3f} s CPU")
    print(f"a lot's recall without start-up: {own:.4f} s CPU")
    scored = card(path)
    print(f"the scorecard of suppliers without start-up: {scored:.2f} s CPU")
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else 0.0
    print(f"{os.cpu_count()} processors, load {load:.1f}")
    met = figures.targets([(name, took, "<=", TARGET_S) for name, took in wall.items()])
    figures.finish(
        {"fittings": given.fittings, "wall_s": wall, "cpu_s": cpu, "met": met, "load": load,
         "start_up_wall_s": base_wall, "start_up_cpu_s": base_cpu, "recall_alone_cpu_s": own,
         "scorecard_alone_cpu_s": scored}
    )  # fmt: skip


if __name__ == "__main__":
    main()
