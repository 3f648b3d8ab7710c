"""Speed of reading price lists, each step a process of its own on a list that is written first.

    python tests/bench/readers.py [--rows 100000] [--csv-rows 1000000]

A workbook is taken in as `partsdb pricelist read` does: rows by meaning with their offers, the
plan against what is stored, and the batch itself together are held against openpyxl's own iteration
over the same file (read-only mode, values alone). What the descriptions say is matching, which is
shown beside them. A CSV file is read to rows of text by meaning in the bounded child process.
Times are of the processor, the child's included, so that a busy machine judges no worse; the wall's
stand beside them.
"""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BENCH = Path(__file__).resolve().parent
# This folder must not be searched first: a module of the standard library is called numbers as well.
sys.path[0] = str(ROOT)

import argparse
import json
import random
import resource
import subprocess
import tempfile
import time

sys.path.append(str(BENCH))

from figures import targets

DAY = "2026-11-20"
HEAD = ("Part no.", "Manufacturer", "Maker's no.", "Description", "Working pressure", "Price EUR",
        "Price per", "Unit", "Stock", "Lead days")  # fmt: skip
NOUNS = ("Valve kit", "Ball", "Seat", "Packing", "Hose", "Gun", "Fitting", "Gauge", "Filter", "Rod")


def rows(count: int):
    """Yield so many invented articles; one in fifty has a number of the fixture shop's maker."""
    rng = random.Random(7)
    for n in range(count):
        number = f"24-{1180 + rng.randrange(300)}" if n % 50 == 0 else ""
        size, bar = rng.choice(("1/4", "3/8", "1/2")), rng.choice((160, 200, 250, 350))
        text = f"{rng.choice(NOUNS)} {size} in, {bar} bar, no. {n}"
        price = rng.randrange(100, 90_000) / 100
        yield (f"S-{100_000 + n}", "Quillmere" if number else "", number, text, f"{bar} bar",
               price, 1, "EA", rng.randrange(90), rng.randrange(1, 30))  # fmt: skip


def write_lists(folder: Path, book_rows: int, csv_rows: int) -> None:
    from openpyxl import Workbook

    book = Workbook(write_only=True)
    sheet = book.create_sheet("Prices")
    sheet.append(HEAD)
    for row in rows(book_rows):
        sheet.append(row)
    book.save(folder / "list.xlsx")
    with (folder / "list.csv").open("w", encoding="utf-8") as out:
        out.write(";".join(HEAD) + "\n")
        for row in rows(csv_rows):
            out.write(";".join(map(str, row)) + "\n")


def spent() -> float:
    """Return the processor time of this process and its children so far."""
    child = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.process_time() + child.ru_utime + child.ru_stime


def openpyxl_step(folder: Path) -> dict[str, float]:
    from openpyxl import load_workbook

    started = spent()
    book = load_workbook(folder / "list.xlsx", read_only=True)
    count = sum(1 for _ in book["Prices"].iter_rows(values_only=True))
    return {"seconds": spent() - started, "rows": count}


def intake_step(folder: Path) -> dict[str, float]:
    from partsdb.jobs.catalogue import load_shop
    from partsdb.jobs.intake import IntakeAsk, intake
    from partsdb.jobs.who import stamp
    from partsdb.store.connect import init_database, open_database

    database = folder / "shop.db"
    init_database(database)
    with open_database(database, write=True):
        load_shop(ROOT / "fixtures" / "shop")
    at: dict[str, float] = {}
    with open_database(database, write=True):
        ask = IntakeAsk(folder / "list.xlsx", "Saltreeve", DAY)
        answer = intake(ask, stamp(), lambda said: at.setdefault(said, spent()))
    end = spent()
    return {
        "read": at["matching the lines"] - at["reading the file"],
        "match": at["comparing with what is stored"] - at["matching the lines"],
        "compare": at["storing the batch"] - at["comparing with what is stored"],
        "store": end - at["storing the batch"],
        "lines": answer.summary["lines"],
        "offers": answer.offers,
    }


def csv_step(folder: Path) -> dict[str, float]:
    from importers import Limits, read_price_list_bounded

    path = folder / "list.csv"
    limits = Limits(rows=10_000_000, file_bytes=path.stat().st_size, memory_bytes=12 * 1024**3)
    started = spent()
    read = read_price_list_bounded(path, limits=limits)
    return {"seconds": spent() - started, "rows": len(read.rows)}


STEPS = {"openpyxl": openpyxl_step, "intake": intake_step, "csv": csv_step}


def run(step: str, folder: Path) -> dict[str, float]:
    command = [sys.executable, __file__, "--step", step, "--folder", str(folder)]
    started = time.perf_counter()
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    whole = {"process_wall_seconds": time.perf_counter() - started}
    return json.loads(done.stdout.splitlines()[-1]) | whole


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--rows", type=int, default=100_000)
    options.add_argument("--csv-rows", type=int, default=1_000_000)
    options.add_argument("--step", choices=STEPS)
    options.add_argument("--folder", type=Path)
    given = options.parse_args()
    if given.step:
        print(json.dumps(STEPS[given.step](given.folder)))
        return
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        write_lists(folder, given.rows, given.csv_rows)
        found = {step: run(step, folder) for step in STEPS}
    theirs, ours, text = found["openpyxl"], found["intake"], found["csv"]
    ratio = (ours["read"] + ours["compare"] + ours["store"]) / theirs["seconds"]
    print(f"matching took {ours['match']:.1f} s of its own for {ours['lines']} lines")
    met = targets(
        [
            ("workbook: read, compared and stored, in times of openpyxl's", ratio, "<=", 2.0),
            (f"CSV of {text['rows'] - 1} rows, s of the processor", text["seconds"], "<=", 60.0),
        ]
    )
    print(json.dumps({"ratio": ratio, **found, "met": all(met.values())}))


if __name__ == "__main__":
    main()
