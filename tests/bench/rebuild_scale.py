"""`rebuild cost` in a fresh process over a database of 100,000 offers.

Run: python tests/bench/rebuild_scale.py [--offers 100000] [--runs 7]
"""

from __future__ import annotations

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
# This folder last: a module of ours here bears the name of one of the standard library.
sys.path[:] = [path for path in sys.path if Path(path).resolve() != HERE]
# This checkout first, whichever one is installed.
sys.path.insert(0, str(HERE.parents[1]))
sys.path += [str(HERE.parent / "support"), str(HERE)]

import argparse
import os
import random
import resource
import statistics
import subprocess
import tempfile
import time

from figures import finish, table, targets
from shop_lists import DAY, FIXTURES

from partsdb.jobs.catalogue import load_shop
from partsdb.store import catalogue, makers, offers, recipes, terms
from partsdb.store.connect import init_database, open_database
from partsdb.store.rows import NewOffer, NewPart, Stamp, Terms

BY = Stamp("bench", "2026-11-02T09:30:00Z")
SUPPLIERS, PARTS = 12, 8000
RECIPES = ("Q33 bypass rebuild", "T200 pump overhaul", "J200 wet end")


def build(path: Path, offers_wanted: int) -> None:
    """Put the demo shop into a database, with many parts more and offers of all of them."""
    rng = random.Random(1)
    init_database(path)
    with open_database(path, write=True):
        load_shop(FIXTURES / "shop")
        maker = makers.add_maker("Ambrelle")
        sellers = [makers.add_supplier(f"Supplier {n}") for n in range(SUPPLIERS)]
        for seller in sellers:
            free = rng.choice([None, 25_000])
            terms.add_terms(
                Terms(seller, "2026-01-01", "EUR", "DAP", "Fennel Quay", 980, free, lead_days=3),
                by=BY,
            )
        fittings = [
            NewPart(maker, f"{n:05d}-{rng.randrange(999)}", "", "fitting") for n in range(PARTS)
        ]
        made = catalogue.add_parts(fittings, by=BY)
        called_for = [item.part_id for recipe in recipes.recipe_rows() for item in recipe.items]
        wanted = [*called_for * SUPPLIERS, *(rng.choice(made) for _ in range(offers_wanted))]
        fresh = [
            NewOffer(
                sellers[n % SUPPLIERS], part, rng.randrange(20_000, 900_000), "EUR", f"C{part}"
            )
            for n, part in enumerate(wanted[:offers_wanted])
        ]
        offers.add_offers(fresh, by=BY)


def timed(path: Path, *asked: str) -> tuple[float, float]:
    """Return wall and processor seconds of one command in a process of its own."""
    env = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    command = [sys.executable, "-m", "partsdb", "--db", str(path), "--as-of", DAY]
    before, started = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run([*command, *asked], env=env, capture_output=True, check=True)
    wall, after = time.perf_counter() - started, resource.getrusage(resource.RUSAGE_CHILDREN)
    if not done.stdout:
        raise SystemExit("nothing came out")
    return wall, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--offers", type=int, default=100_000)
    parser.add_argument("--runs", type=int, default=7)
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "scale.db"
        build(path, chosen.offers)
        rows, cpu_of = [], {}
        # A command that asks next to nothing shows what starting costs.
        asked = {"start-up alone (fx show)": ("fx", "show")}
        asked |= {name: ("rebuild", "cost", name) for name in RECIPES}
        for name, words in asked.items():
            timed(path, *words)  # compiled code is written once, as an installation does
            walls, cpus = zip(*(timed(path, *words) for _ in range(chosen.runs)), strict=True)
            cpu_of[name] = statistics.median(cpus)
            rows.append((name, statistics.median(walls), min(walls), cpu_of[name]))
    table(("recipe", "wall s, median", "wall s, least", "processor s, median"), rows)
    slowest = max(cpu_of[name] for name in RECIPES)
    met = targets([("rebuild cost, processor s", slowest, "<=", 0.5)])
    finish({"offers": chosen.offers, "slowest_processor_s": slowest,
            "startup_processor_s": next(iter(cpu_of.values())), "slowest_wall_s": max(row[1] for row in rows), "met": met})  # fmt: skip


if __name__ == "__main__":
    main()
