"""How many verdicts a second: every part of the invented shop in every position of its role.

    python tests/bench/verdicts.py [--pairs 20000] [--processes 3]

Each pair is judged once, so nothing is gained by asking the same twice; with the part called for
as the original and the edge to it where the shop has one. Every process is fresh: what the rules
remember of a text they learn during the pass. Of several processes the best counts, for other
work on the machine only ever slows one down. The last line is one JSON object.
"""

from __future__ import annotations

import sys
from pathlib import Path

# This folder must not be searched: a module of the standard library is called numbers as well.
sys.path[0] = str(Path(__file__).resolve().parents[2])

import argparse
import gc
import json
import random
import subprocess
import tempfile
import time
from collections import Counter
from typing import Any

from tests.bench import figures

FIXTURES = Path(__file__).parents[2] / "fixtures" / "shop"
WANTED_A_SECOND = 5000
Case = tuple[Any, Any, dict[str, Any]]


def shop_cases(database: Path) -> list[Case]:
    """Return part, demand and what else is known, for every part of a role in its positions."""
    from partsdb.rules.facts import EvidenceLevel, StandsIn
    from partsdb.store import catalogue, edges, machines
    from partsdb.store.claims import part_facts
    from partsdb.store.connect import open_database

    with open_database(database):
        positions = [p for m in machines.machine_rows() for p in machines.positions_of(m.id)]
        roles = sorted({p.demand.role for p in positions})
        parts = catalogue.parts_of_role(roles)
        facts = part_facts(part.id for part in parts)
        known = {(e.asked_id, e.fitted_id): e for e in edges.edges_from(p.id for p in parts)}
    cases: list[Case] = []
    for position in positions:
        asked_id = position.part_ids[0] if position.part_ids else None
        original = facts.get(asked_id) if asked_id else None
        for part in parts:
            if part.role != position.demand.role:
                continue
            row = known.get((asked_id or 0, part.id))
            edge = original and row and StandsIn(
                (original.maker, original.number), (part.maker, part.number), row.state,
                EvidenceLevel(row.evidence), row.conditions, row.source,
            )  # fmt: skip
            cases.append(
                (facts[part.id], position.demand, {"original": original, "edge": edge or None})
            )
    return cases


def judged(cases: list[Case]) -> tuple[float, float, Counter[str]]:
    """Return wall and processor seconds for all cases, and how often each verdict was given."""
    from partsdb.rules.judge import judge

    counted: Counter[str] = Counter()
    started, used = time.perf_counter(), time.process_time()
    for part, demand, known in cases:
        counted[judge(part, demand, **known).verdict] += 1
    return time.perf_counter() - started, time.process_time() - used, counted


def built(database: Path) -> Path:
    """Put the invented shop into a new database."""
    from partsdb.jobs.catalogue import load_shop
    from partsdb.store.connect import init_database, open_database

    init_database(database)
    with open_database(database, write=True):
        load_shop(FIXTURES)
    return database


def one_process(database: Path, pairs: int) -> None:
    """Judge all pairs twice and print the figures as JSON."""
    cases = shop_cases(database)
    random.Random(1).shuffle(cases)
    cases = cases[:pairs]
    gc.freeze()  # the prepared pairs are the bench's own: they are not searched for garbage
    wall, used, counted = judged(cases)
    wall_again, used_again, _ = judged(cases)
    figures.finish(
        {"pairs": len(cases), "wall": wall, "used": used, "wall_again": wall_again,
         "used_again": used_again, "verdicts": {str(k): v for k, v in sorted(counted.items())}}
    )  # fmt: skip


def in_processes(database: Path, pairs: int, processes: int) -> list[dict[str, Any]]:
    """Return the figures of as many fresh processes."""
    command = [sys.executable, __file__, "--database", str(database), "--pairs", str(pairs)]
    return [
        json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
        for _ in range(processes)
    ]


def main() -> None:
    """Judge, and print what came of it."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--pairs", type=int, default=20_000)
    parser.add_argument("--processes", type=int, default=3)
    parser.add_argument("--database", type=Path, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.database:
        one_process(given.database, given.pairs)
        return
    with tempfile.TemporaryDirectory() as folder:
        runs = in_processes(built(Path(folder) / "shop.db"), given.pairs, given.processes)
    report(runs)


def report(runs: list[dict[str, Any]]) -> None:
    """Print verdicts, every process, the target, and the JSON line."""
    pairs = runs[0]["pairs"]
    figures.table(("verdict", "pairs"), [*runs[0]["verdicts"].items(), ("all", pairs)])
    print()
    figures.table(
        ("process", "wall s", "processor s", "a wall second", "a processor second", "asked again"),
        [
            (n, r["wall"], r["used"], pairs / r["wall"], pairs / r["used"], pairs / r["used_again"])
            for n, r in enumerate(runs, start=1)
        ],
    )
    print()
    rate = max(pairs / run["used"] for run in runs)
    # One process, one thread: on a machine that others use too the wall tells of them.
    met = figures.targets([("verdicts a processor second", rate, ">=", WANTED_A_SECOND)])
    figures.finish(
        {"pairs": pairs, "per_processor_second": rate, "met": met,
         "per_wall_second": max(pairs / run["wall"] for run in runs),
         "per_processor_second_again": max(pairs / run["used_again"] for run in runs),
         "verdicts": runs[0]["verdicts"], "processes": len(runs)}
    )  # fmt: skip


if __name__ == "__main__":
    main()
