"""kill -9 at random moments of "partsdb pricelist read": the whole batch or nothing, 200 times.

    python tests/bench/kill_during_read.py [--moments 200]

Each read is a process of its own on a fresh copy of the shop; a workbook is read every other time,
so that the child process that parses it is running too. Afterwards the store is counted and
`partsdb doctor` must find the file sound.
"""

from __future__ import annotations

import argparse
import json
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
# The folder of the benches comes last: a module of the standard library is called numbers as well.
sys.path[:1] = [str(ROOT), str(ROOT / "tests" / "support")]
sys.path.append(str(ROOT / "tests" / "bench"))

from figures import table
from killed import batch_state

from partsdb.jobs.catalogue import load_shop
from partsdb.store.connect import init_database, open_database

DAY = "2026-11-20"
LISTS = (("Kestrow", "kestrow_preisliste.csv"), ("Saltreeve", "saltreeve_2026q4.xlsx"))


def command(database: Path, *words: str) -> list[str]:
    start = "from partsdb.cli.main import run; run()"
    return [sys.executable, "-c", start, "--db", str(database), "--quiet", "--as-of", DAY, *words]


def read(database: Path, supplier: str, name: str) -> subprocess.Popen[bytes]:
    words = ("pricelist", "read", str(ROOT / "fixtures" / "lists" / name), "--supplier", supplier)
    return subprocess.Popen(command(database, *words), cwd=ROOT, stdout=subprocess.DEVNULL)


def fresh(database: Path, data: bytes) -> None:
    for path in database.parent.glob(f"{database.name}*"):
        path.unlink()
    database.write_bytes(data)


def outcome(database: Path, whole: tuple[int, ...]) -> str:
    state = batch_state(database, DAY)
    doctor = subprocess.run(command(database, "doctor"), cwd=ROOT, capture_output=True, check=False)
    if doctor.returncode:
        return "doctor disagrees"
    return "nothing" if not any(state) else "whole" if state == whole else "HALF"


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--moments", type=int, default=200)
    moments = options.parse_args().moments
    rng = random.Random(20261120)
    counts: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        database = Path(folder) / "shop.db"
        init_database(database)
        with open_database(database, write=True):
            load_shop(ROOT / "fixtures" / "shop")
        data = database.read_bytes()
        known = {}
        for supplier, name in LISTS:
            fresh(database, data)
            started = time.monotonic()
            assert read(database, supplier, name).wait() == 0
            known[name] = time.monotonic() - started, batch_state(database, DAY)
        for number in range(moments):
            supplier, name = LISTS[number % len(LISTS)]
            took, whole = known[name]
            fresh(database, data)
            running = read(database, supplier, name)
            # Most moments fall where something is written: in the last third of the run.
            time.sleep(took * (rng.random() if number % 3 == 0 else rng.uniform(0.6, 1.1)))
            running.send_signal(signal.SIGKILL)
            running.wait()
            counts[outcome(database, whole)] += 1
    table(("left in the store", "times"), sorted(counts.items()))
    bad = sum(counts.values()) - counts["nothing"] - counts["whole"]
    print(json.dumps({"moments": moments, "bad": bad, **counts}))
    sys.exit(bool(bad))


if __name__ == "__main__":
    main()
