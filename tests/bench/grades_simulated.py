"""Suppliers of known comeback rates, simulated: how often the proposed grade is right.

    python tests/bench/grades_simulated.py [--suppliers 4000] [--seed 7]

A supplier has a true comeback rate p; each fitting comes back with it, ten fittings to a lot. After
so many fittings the rules propose a grade from the record alone. A grade is wrong when p is not
below its limit (A 2 %, B 5 %, C 10 %). The rules promise, for suppliers drawn from their own prior
(p uniform), that of the grades given at most 10 % are wrong; that is checked, and beside it what
happens at single rates, where a supplier just at the limit is the hardest. The last line is JSON.
"""

from __future__ import annotations

import sys
from pathlib import Path

# This folder must not be searched: a module of the standard library is called numbers as well.
sys.path[0] = str(Path(__file__).resolve().parents[2])

import argparse
import datetime as dt
import random
from collections import Counter

from partsdb.rules.evidence_grade import GRADE_LIMITS, LotRecord
from partsdb.rules.proposal import Standing, propose
from tests.bench import figures

TODAY = dt.date(2026, 11, 20)
LOT = 10
FITTINGS = (20, 50, 120, 300)
RATES = (0.001, 0.01, 0.019, 0.021, 0.04, 0.06, 0.09, 0.11, 0.2)
LIMITS = dict(GRADE_LIMITS)
PROMISED = 0.10


def record(rate: float, fittings: int, rng: random.Random) -> list[LotRecord]:
    """Return the lots of a supplier of that comeback rate."""
    lots = []
    for first in range(0, fittings, LOT):
        size = min(LOT, fittings - first)
        failed = sum(rng.random() < rate for _ in range(size))
        lots.append(LotRecord(size, failed, TODAY))
    return lots


def proposed(rate: float, fittings: int, rng: random.Random) -> str:
    return propose(record(rate, fittings, rng), Standing(), TODAY).proposed


def is_wrong(grade: str, rate: float) -> bool:
    return grade in LIMITS and rate >= LIMITS[grade]


def from_the_prior(suppliers: int, rng: random.Random) -> tuple[list[tuple], dict[str, float]]:
    """Draw rates uniformly below 20 %, where all limits lie, and count the wrong grades given.

    Rates above are left out, for hardly any of them is ever graded: they would only take time.
    """
    rows, shares = [], {}
    for fittings in FITTINGS:
        given, wrong = Counter(), Counter()
        for _ in range(suppliers):
            rate = rng.uniform(0, 0.2)
            grade = proposed(rate, fittings, rng)
            given[grade] += 1
            wrong[grade] += is_wrong(grade, rate)
        for grade in LIMITS:
            if given[grade]:
                share = wrong[grade] / given[grade]
                rows.append((fittings, grade, given[grade], wrong[grade], share))
                shares[f"{grade} after {fittings}"] = share
        total = sum(given[grade] for grade in LIMITS)
        if total:
            shares[f"any after {fittings}"] = sum(wrong.values()) / total
    return rows, shares


def at_single_rates(suppliers: int, rng: random.Random) -> list[tuple]:
    rows = []
    for rate in RATES:
        for fittings in (120, 300):
            found = Counter(proposed(rate, fittings, rng) for _ in range(suppliers // 10))
            wrong = sum(count for grade, count in found.items() if is_wrong(grade, rate))
            told = ", ".join(f"{grade or 'none'} {count}" for grade, count in sorted(found.items()))
            rows.append((f"{rate:.1%}", fittings, told, wrong / sum(found.values())))
    return rows


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--suppliers", type=int, default=4_000)
    parser.add_argument("--seed", type=int, default=7)
    given = parser.parse_args()
    rng = random.Random(given.seed)
    rows, shares = from_the_prior(given.suppliers, rng)
    print("Suppliers drawn from the prior: of the grades given, how many are too good")
    figures.table(("fittings", "grade", "given", "too good", "share"), rows)
    print("\nSuppliers of one rate: the grades given, and the share that is too good")
    figures.table(
        ("true rate", "fittings", "grades", "too good"), at_single_rates(given.suppliers, rng)
    )
    print()
    wanted = [(f"too good, {name}", share, "<=", PROMISED) for name, share in shares.items()]
    met = figures.targets(wanted)
    figures.finish(
        {"suppliers": given.suppliers, "seed": given.seed, "too_good": shares, "met": met}
    )


if __name__ == "__main__":
    main()
