"""One question to a catalogue of a million parts: how fast a cold process answers, and how often.

    python tests/bench/part_find.py [--parts 1000000] [--queries 300] [--keep FOLDER]

A question is a messy code, a code with a word or two, or a few words alone. Words alone count as
answered when a part of that very description is among the ten: its number was not asked. Cold is a
new Python process, index files in the page cache or, where the system allows, dropped from it.
The last line is one JSON object.
"""

from __future__ import annotations

import sys
from pathlib import Path

# This folder must not be searched: a module of the standard library is called numbers as well.
sys.path[0] = str(Path(__file__).resolve().parents[2])

import argparse
import os
import random
import shutil
import statistics
import subprocess
import tempfile
import time
from collections import Counter

from tests.bench import figures, scale
from tests.bench.damage import damaged, near_miss, worn

_ASK = (
    "import sys; from pathlib import Path; from partsdb.matching.engine.find import find_parts;"
    "print(*(f.part_id for f in find_parts(Path(sys.argv[1]), sys.argv[2])))"
)
Part = tuple[int, str, str, str]
Question = tuple[str, str, set[int]]
_KINDS = (
    "exact",
    "case",
    "dash",
    "look-alike",
    "prefix",
    "suffix",
    "typo",
    "cut and words",
    "typo and words",
    "words",
)


def questions(catalogue: list[Part], count: int, rng: random.Random) -> list[Question]:
    """Return kind, text and the parts that answer it."""
    same: dict[str, set[int]] = {}
    for part_id, _, _, description in catalogue:
        same.setdefault(description, set()).add(part_id)
    asked: list[Question] = []
    while len(asked) < count:
        part_id, _, number, description = rng.choice(catalogue)
        kind = _KINDS[len(asked) % len(_KINDS)]
        if kind == "words":
            asked.append((kind, worn(description, rng), same[description]))
            continue
        if kind in ("typo", "typo and words"):
            code = near_miss(
                number, rng.choice(("digit", "transposed", "inserted", "deleted")), rng
            )
        else:
            code = damaged(number, kind.removesuffix(" and words"), rng)
        if code is None:
            continue
        if kind.endswith("and words"):
            code += " " + " ".join(description.replace(",", "").split()[:2])
        asked.append((kind, code, {part_id}))
    return asked


def answered(index: Path, asked: list[Question]) -> tuple[Counter[str], Counter[str], list[float]]:
    """Return questions and answers by kind, and the milliseconds of each on a warm process."""
    from partsdb.matching.engine.find import Finder

    finder = Finder(index)
    total, hit, took = Counter[str](), Counter[str](), []
    for kind, text, right in asked:
        started = time.perf_counter()
        found = finder.find(text, limit=10)
        took.append(1000 * (time.perf_counter() - started))
        total[kind] += 1
        hit[kind] += bool(right & {each.part_id for each in found})
    return total, hit, took


def cold(index: Path, asked: list[Question], *, drop: bool) -> list[float]:
    """Return the seconds of a new process for each question."""
    took = []
    for _, text, _ in asked:
        if drop:
            for path in index.rglob("*.npy"):
                _drop(path)
        started = time.perf_counter()
        subprocess.run(
            [sys.executable, "-c", _ASK, str(index), text],
            check=True,
            stdout=subprocess.DEVNULL,
            cwd=sys.path[0],
        )
        took.append(time.perf_counter() - started)
    return took


def _drop(path: Path) -> None:
    """Ask the system to forget a file's pages."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.posix_fadvise(handle, 0, 0, os.POSIX_FADV_DONTNEED)
    finally:
        os.close(handle)


def main() -> None:
    """Ask, and print what came of it."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--parts", type=int, default=1_000_000)
    parser.add_argument("--queries", type=int, default=2000)
    parser.add_argument("--cold", type=int, default=20)
    parser.add_argument("--keep", type=Path, help="a folder for the data, kept for the next run")
    given = parser.parse_args()
    folder = given.keep or Path(tempfile.mkdtemp(prefix="find-"))
    folder.mkdir(parents=True, exist_ok=True)
    try:
        report(folder, given)
    finally:
        if given.keep is None:
            shutil.rmtree(folder)


def report(folder: Path, given: argparse.Namespace) -> None:
    """Build the index if it is not there, ask, print."""
    catalogue = scale.prepared(folder, given.parts, [])
    index = folder / f"index_{given.parts}"
    if not index.exists():
        scale.built(folder, given.parts)
    asked = questions(catalogue, given.queries, random.Random(1))
    total, hit, took = answered(index, asked)
    rows = [(kind, total[kind], hit[kind] / total[kind]) for kind in _KINDS]
    figures.table(("question", "asked", "among the ten"), rows)
    share = hit.total() / total.total()
    few = asked[: given.cold]
    start = statistics.median(cold(index, few, drop=False))
    dropped = statistics.median(cold(index, few, drop=True))
    print(f"\nwarm process: median {statistics.median(took):.2f} ms; cold: {start:.3f} s; "
          f"pages dropped: {dropped:.3f} s")  # fmt: skip
    met = figures.targets(
        [("cold process to answer s", start, "<=", 0.20), ("among the ten", share, ">=", 0.98)]
    )
    figures.finish(
        {"cold_seconds": start, "dropped_seconds": dropped, "within_ten": share, "met": met,
         "warm_ms": statistics.median(took), "parts": given.parts,
         "kinds": {kind: hit[kind] / total[kind] for kind in _KINDS}}
    )  # fmt: skip


if __name__ == "__main__":
    main()
