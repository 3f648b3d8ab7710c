"""Speed and memory of matching long lists, whole process, stored result included.

    python tests/bench/scale.py [--lines N --parts M] [--repeat 2] [--keep FOLDER]

Without --lines and --parts the three sizes of the targets are run. Every figure is the wall time
of a process of its own: start, reading the list's CSV, matching on two processes, and its lines and
readings committed to a database of the project's schema that holds the parts. Baselines that
compare every pair run on a slice in the same run. The last line is one JSON object.
"""

from __future__ import annotations

import sys
from pathlib import Path

# This folder must not be searched: a module of the standard library is called numbers as well.
sys.path[0] = str(Path(__file__).resolve().parents[2])

import argparse
import csv
import json
import math
import os
import resource
import shutil
import subprocess
import tempfile
import threading
import time
from itertools import islice
from typing import Any

from tests.bench import figures, invented

SIZES = ((10_000, 100_000), (100_000, 1_000_000), (1_000_000, 1_000_000))
WANTED = {SIZES[0]: 1.5, SIZES[1]: 5.0, SIZES[2]: 20.0}
_STEP = [sys.executable, "-m", "tests.bench.scale_step"]


def prepared(folder: Path, parts: int, lengths: list[int]) -> list[tuple[int, str, str, str]]:
    """Write a catalogue and lists against it, once, and return the catalogue."""
    catalogue = list(invented.parts(parts, seed=parts))
    path = folder / f"parts_{parts}.csv"
    if not path.exists():
        invented.write(path, ("id", "maker", "number", "description"), iter(catalogue))
    for lines in lengths:
        path = folder / f"lines_{lines}_{parts}.csv"
        if not path.exists():
            rows = invented.lines(catalogue, lines, seed=lines)
            invented.write(path, ("code", "description", "maker", "truth", "kind"), rows)
    return catalogue


def step(*arguments: object) -> dict[str, Any]:
    """Run one step as a process; return what it printed, its seconds and the tree's megabytes."""
    started, used = time.perf_counter(), _cpu_seconds()
    process = subprocess.Popen(
        [*_STEP, *map(str, arguments)],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": sys.path[0]},
    )
    peak = [0.0]
    watcher = threading.Thread(target=_watch, args=(process, peak), daemon=True)
    watcher.start()
    printed, _ = process.communicate()
    seconds = time.perf_counter() - started
    watcher.join()
    if process.returncode:
        raise SystemExit(f"step {arguments[0]} failed")
    cpu = _cpu_seconds() - used
    return {**json.loads(printed), "seconds": seconds, "cpu": cpu, "megabytes": peak[0]}


def _cpu_seconds() -> float:
    """Return the processor seconds of all processes waited for so far."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _watch(process: subprocess.Popen[str], peak: list[float]) -> None:
    """Note the largest proportional memory of the process and its children."""
    while process.poll() is None:
        peak[0] = max(peak[0], sum(map(_megabytes, [process.pid, *_children(process.pid)])))
        time.sleep(0.1)


def _children(pid: int) -> list[int]:
    try:
        text = Path(f"/proc/{pid}/task/{pid}/children").read_text(encoding="ascii")
    except OSError:
        return []
    return [int(child) for child in text.split()]


def _megabytes(pid: int) -> float:
    try:
        text = Path(f"/proc/{pid}/smaps_rollup").read_text(encoding="ascii")
    except OSError:
        return 0.0
    return next(
        (int(row.split()[1]) / 1024 for row in text.splitlines() if row.startswith("Pss:")), 0.0
    )


def measured(folder: Path, lines: int, parts: int, repeat: int) -> dict[str, Any]:
    """Return the best of a few runs of one size."""
    index = folder / f"index_{parts}"
    base = folder / f"parts_{parts}.db"
    runs = []
    for _ in range(repeat):
        target = folder / "run.db"
        shutil.copy(base, target)
        runs.append(step("match", index, target, folder / f"lines_{lines}_{parts}.csv"))
        for path in folder.glob("run.db*"):
            path.unlink()
    return min(runs, key=lambda run: run["seconds"])


def built(folder: Path, parts: int) -> dict[str, Any]:
    """Build the index of a catalogue from its database, and change one part in it."""
    step("database", folder / f"parts_{parts}.csv", folder / f"parts_{parts}.db")
    made = step("build", folder / f"parts_{parts}.db", folder / f"index_{parts}")
    changed = step("update", folder / f"index_{parts}")
    return {
        "build_seconds": made["seconds"],
        "build_cpu": made["cpu"],
        "build_megabytes": made["megabytes"],
        "index_megabytes": made["index_megabytes"],
        "update_seconds": changed["update_seconds"],
    }


def baseline(
    folder: Path, catalogue: list[tuple[int, str, str, str]], lines: int
) -> dict[str, float]:
    """Return lines a second of plain scorers that compare a line with every part."""
    from rapidfuzz import fuzz, process

    path = folder / f"lines_{lines}_{len(catalogue)}.csv"
    with path.open(newline="", encoding="utf-8") as file:
        rows = [f"{row['code']} {row['description']}" for row in islice(csv.DictReader(file), 8)]
    texts = [f"{number} {description}" for _, _, number, description in catalogue]
    speeds = {}
    for scorer in (fuzz.token_set_ratio, fuzz.WRatio):
        started = time.perf_counter()
        for row in rows:
            process.extract(row, texts, scorer=scorer, limit=5)
        speeds[f"rapidfuzz {scorer.__name__}"] = len(rows) / (time.perf_counter() - started)
    return speeds


def main() -> None:
    """Measure the sizes asked for."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--lines", type=int)
    parser.add_argument("--parts", type=int)
    parser.add_argument("--repeat", type=int, default=2)
    parser.add_argument("--keep", type=Path, help="a folder for the data, kept for the next run")
    asked = parser.parse_args()
    sizes = [(asked.lines, asked.parts)] if asked.lines and asked.parts else list(SIZES)
    folder = asked.keep or Path(tempfile.mkdtemp(prefix="scale-"))
    folder.mkdir(parents=True, exist_ok=True)
    try:
        report(folder, sizes, asked.repeat)
    finally:
        if asked.keep is None:
            shutil.rmtree(folder)


def report(folder: Path, sizes: list[tuple[int, int]], repeat: int) -> None:
    """Run the sizes and print tables, targets and the JSON object."""
    found: dict[str, Any] = {"sizes": [], "indexes": {}, "baselines": {}}
    wanted: list[tuple[str, float, str, float]] = []
    for parts in sorted({parts for _, parts in sizes}):
        lengths = [lines for lines, size in sizes if size == parts]
        catalogue = prepared(folder, parts, lengths)
        found["indexes"][parts] = made = built(folder, parts)
        for lines in lengths:
            run = measured(folder, lines, parts, repeat)
            found["sizes"].append({"lines": lines, "parts": parts, **run})
            if (lines, parts) in WANTED:
                wanted.append(
                    (f"{lines:,} x {parts:,} s", run["seconds"], "<=", WANTED[lines, parts])
                )
        found["baselines"][parts] = baseline(folder, catalogue, lengths[0])
        if parts == 1_000_000:
            wanted.append(("index of 1,000,000 built s", made["build_seconds"], "<=", 10))
        wanted.append((f"index of {parts:,} updated s", made["update_seconds"], "<=", 0.1))
    wanted += _growth(found["sizes"])
    _print(found)
    found["met"] = figures.targets(wanted)
    figures.finish(found)


def _growth(sizes: list[dict[str, Any]]) -> list[tuple[str, float, str, float]]:
    """Return memory of the longest list and the exponent between the two longest, as targets."""
    million = [run for run in sizes if run["parts"] == 1_000_000]
    rows = [("memory MB", max(run["megabytes"] for run in sizes), "<=", 1536.0)]
    if len(million) > 1:
        short, long = sorted(million, key=lambda run: run["lines"])[-2:]
        ratio = math.log(long["seconds"] / short["seconds"]) / math.log(
            long["lines"] / short["lines"]
        )
        rows.append(("exponent in list length", ratio, "<=", 1.05))
    return rows


def _print(found: dict[str, Any]) -> None:
    rows = [
        (f"{run['lines']:,} x {run['parts']:,}", f"{run['seconds']:.2f}",
         f"{run['cpu']:.2f}",
         int(run["lines"] / run["seconds"]), int(run["megabytes"]), run["settled"], run["wrong"])
        for run in found["sizes"]
    ]  # fmt: skip
    figures.table(
        ("lines x parts", "seconds", "cpu s", "lines/s", "MB", "settled", "wrongly"), rows
    )
    for parts, speeds in found["baselines"].items():
        for name, speed in speeds.items():
            print(f"baseline, {int(parts):,} parts: {name}, every pair: {speed:.1f} lines/s")
    for parts, made in found["indexes"].items():
        print(
            f"index of {int(parts):,}: {made['build_seconds']:.2f} s ({made['build_cpu']:.2f} cpu), {made['index_megabytes']:.0f} MB"
            f" on disk, one part changed in {made['update_seconds']:.3f} s"
        )


if __name__ == "__main__":
    main()
