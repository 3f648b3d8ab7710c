"""A supplier's list from file to stored batch, whole process: read, match, store.

    python tests/bench/read_and_match.py [--lines 10000] [--parts 100000] [--slice 50]

The catalogue of invented parts is stored first, untimed. Then `partsdb pricelist read` runs as a
process of its own on a CSV of invented lines (exact, damaged, near-miss and unknown numbers), and
beside it rapidfuzz compares a slice of the lines with every part. Last line: one JSON object.
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
import resource
import subprocess
import tempfile
import time
from collections import Counter

from tests.bench import figures, invented

SECONDS, MEGABYTES = 30.0, 1000.0


def stored_catalogue(path: Path, parts: int) -> list[tuple[int, str, str, str]]:
    """Store the invented catalogue in a new database and return it."""
    from partsdb.jobs.who import stamp
    from partsdb.store import catalogue, makers
    from partsdb.store.connect import init_database, open_database
    from partsdb.store.rows import NewPart

    invented_parts = list(invented.parts(parts, seed=parts))
    init_database(path)
    with open_database(path, write=True):
        ids = {name: makers.add_maker(name) for name in invented.MAKERS}
        makers.add_supplier("Kestrow", maker_id=makers.add_maker("Kestrow"))
        catalogue.add_parts(
            [NewPart(ids[maker], number, text) for _, maker, number, text in invented_parts],
            by=stamp(),
        )
    return invented_parts


def written_list(path: Path, catalogue: list[tuple[int, str, str, str]], lines: int) -> list[str]:
    """Write the list as a supplier would and return the descriptions."""
    rng = random.Random(lines)
    texts = []
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(("Part no.", "Maker", "Description", "Price EUR"))
        for code, text, maker, *_ in invented.lines(catalogue, lines, seed=lines):
            writer.writerow((code, maker, text, f"{rng.randrange(100, 90_000) / 100:.2f}"))
            texts.append(text)
    return texts


def timed_read(database: Path, price_list: Path) -> tuple[float, float, dict[str, int]]:
    """Return wall seconds, peak megabytes and the readings of the whole process."""
    command = [sys.executable, "-m", "partsdb", "--db", str(database), "--format", "json",
               "pricelist", "read", str(price_list), "--supplier", "Kestrow"]  # fmt: skip
    started = time.perf_counter()
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    seconds = time.perf_counter() - started
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    print(f"of these, processor seconds: {used.ru_utime + used.ru_stime:.1f}")
    if done.returncode:
        raise SystemExit(done.stdout + done.stderr)
    megabytes = used.ru_maxrss / 1024
    return seconds, megabytes, json.loads(done.stdout)["data"]["summary"]


def every_pair(texts: list[str], catalogue: list[tuple[int, str, str, str]]) -> float:
    """Return how many lines a second rapidfuzz compares with every part of the catalogue."""
    from rapidfuzz import fuzz, process

    descriptions = [text for *_, text in catalogue]
    started = time.perf_counter()
    process.cdist(texts, descriptions, scorer=fuzz.token_set_ratio, workers=os.cpu_count() or 1)
    return len(texts) / (time.perf_counter() - started)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--lines", type=int, default=10_000)
    parser.add_argument("--parts", type=int, default=100_000)
    parser.add_argument("--slice", type=int, default=50)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        database, price_list = Path(folder) / "bench.db", Path(folder) / "list.csv"
        catalogue = stored_catalogue(database, asked.parts)
        texts = written_list(price_list, catalogue, asked.lines)
        seconds, megabytes, summary = timed_read(database, price_list)
        pairs = every_pair(texts[: asked.slice], catalogue)
    rate = asked.lines / seconds
    figures.table(
        ("way", "lines a second", "ratio"),
        [("partsdb pricelist read, stored", rate, 1.0),
         ("rapidfuzz token_set_ratio, every pair, not stored", pairs, pairs / rate)],
    )  # fmt: skip
    figures.table(("reading", "lines"), list(Counter(summary).items()))
    met = figures.targets(
        [("seconds, whole process", seconds, "<=", SECONDS),
         ("peak MB", megabytes, "<=", MEGABYTES)]
    )  # fmt: skip
    figures.finish({"lines": asked.lines, "parts": asked.parts, "seconds": round(seconds, 2),
                    "peak_mb": round(megabytes, 1), "lines_per_second": round(rate, 1),
                    "rapidfuzz_lines_per_second": round(pairs, 2), "readings": summary, "met": met})  # fmt: skip


if __name__ == "__main__":
    main()
