"""Vetting a supplier's list against a large catalogue, whole process: read, match, judge, report.

    python tests/bench/vetting.py [--lines 10000] [--parts 100000] [--runs 3] [--keep FOLDER]

The invented boatyard's own data (machines, rules, terms) and the invented catalogue are stored
first, untimed: every part has a role, one in five a rating, and 5,000 are called for by positions.
Then `partsdb vet` runs as a process of its own on a CSV of invented lines (exact, damaged,
near-miss and unknown numbers, one in three claims a rating). Target: 15 s. On a busy machine look
at the CPU seconds. The last line is one JSON object.
"""

from __future__ import annotations

import sys
from pathlib import Path

# This folder must not be searched: a module of the standard library is called numbers as well.
sys.path[0] = str(Path(__file__).resolve().parents[2])

import argparse
import csv
import json
import os
import random
import statistics
import subprocess
import tempfile
import time

from tests.bench import figures, invented

TARGET_S = 15.0
_ROLES = ("valve kit", "hose", "fitting", "packing", "gun", "check valve", "o-ring", "nozzle",
          "ball", "seat", "filter", "gauge", "swivel", "unloader")  # fmt: skip
_RATINGS = ("3300 psi", "3000 psi", "5000 psi", "227 bar", "250 bar", "3600 psi", "2500 psi")


def built(path: Path, parts: int) -> list[tuple[int, str, str, str]]:
    """Store shop and catalogue and return the invented parts."""
    from partsdb.jobs.catalogue import load_shop
    from partsdb.jobs.who import stamp
    from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel
    from partsdb.store import catalogue, claims, makers, sql
    from partsdb.store.connect import init_database, open_database
    from partsdb.store.rows import NewClaim, NewPart

    rng = random.Random(parts)
    found = list(invented.parts(parts, seed=parts))
    init_database(path)
    with open_database(path, write=True):
        load_shop(Path(__file__).resolve().parents[2] / "fixtures" / "shop")
        by = stamp()
        ids = {name: makers.add_maker(name) for name in invented.MAKERS}
        stored = catalogue.add_parts(
            [NewPart(ids[m], n, text, rng.choice(_ROLES)) for _, m, n, text in found], by=by
        )
        claims.add_claims(
            [NewClaim(i, Claim(ClaimKind.RATING, rng.choice(_RATINGS),
                               EvidenceLevel.MAKERS_DOCUMENT, "", "working", "invented"))
             for i in stored[::5]],
            by=by,
        )  # fmt: skip
        places = [row[0] for row in sql.rows("SELECT id FROM position")]
        called = ((rng.choice(places), i) for i in rng.sample(stored, min(5_000, parts // 2)))
        sql.insert_many("position_part", "position_id, part_id", called)
    return found


def written(path: Path, found: list[tuple[int, str, str, str]], lines: int) -> None:
    """Write the list as a supplier would."""
    rng = random.Random(lines)
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(("Part no.", "Maker", "Description", "Working pressure", "Price EUR"))
        for code, text, maker, *_ in invented.lines(found, lines, seed=lines):
            rated = rng.choice(_RATINGS) if rng.random() < 1 / 3 else ""
            writer.writerow((code, maker, text, rated, f"{rng.uniform(2, 400):.2f}"))


def vetted(database: Path, path: Path) -> tuple[float, float, dict[str, int], int]:
    """Return wall and CPU seconds of one command, its summary, and how many signs it found."""
    command = [sys.executable, "-m", "partsdb", "--db", str(database), "--format", "json",
               "--as-of", "2026-11-20", "vet", str(path), "--supplier", "Kestrow"]  # fmt: skip
    before, began = os.times(), time.perf_counter()
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    took, after = time.perf_counter() - began, os.times()
    if done.returncode:
        sys.exit(done.stdout + done.stderr)
    data = json.loads(done.stdout)["data"]
    cpu = sum(after[2:4]) - sum(before[2:4])
    return took, cpu, data["summary"], len(data["signs"])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--lines", type=int, default=10_000)
    parser.add_argument("--parts", type=int, default=100_000)
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--keep", type=Path, help="build the database here and leave it")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as temporary:
        folder = given.keep or Path(temporary)
        folder.mkdir(parents=True, exist_ok=True)
        measure(folder, given)


def measure(folder: Path, given: argparse.Namespace) -> None:
    database, path = folder / f"vetting-{given.parts}.db", folder / f"list-{given.lines}.csv"
    database.unlink(missing_ok=True)
    written(path, built(database, given.parts), given.lines)
    runs = [vetted(database, path) for _ in range(given.runs)]
    wall, cpu = (statistics.median(run[at] for run in runs) for at in (0, 1))
    summary, signs = runs[0][2], runs[0][3]
    rows = [(name, count) for name, count in summary.items()]
    figures.table(("the list came to", "lines"), [*rows, ("signs", signs)])
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else 0.0
    print(
        f"{given.lines:,} lines against {given.parts:,} parts: {wall:.1f} s wall, {cpu:.1f} s CPU"
    )
    print(f"{os.cpu_count()} processors, load {load:.1f}")
    met = figures.targets([("vetting, seconds", wall, "<=", TARGET_S)])
    figures.finish({"lines": given.lines, "parts": given.parts, "wall_s": wall, "cpu_s": cpu,
                    "summary": summary, "signs": signs, "met": met, "load": load})  # fmt: skip


if __name__ == "__main__":
    main()
