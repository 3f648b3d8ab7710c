"""The steps that `scale.py` measures, each a process of its own; prints one JSON object."""

from __future__ import annotations

import csv
import json
import sqlite3
import sys
import time
from collections.abc import Iterator
from itertools import islice
from json.encoder import encode_basestring
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
NOW = "2026-01-01T00:00:00Z"


def open_database(path: Path) -> sqlite3.Connection:
    """Open a database as the store opens one."""
    connection = sqlite3.connect(path, isolation_level=None)
    for pragma in ("journal_mode=WAL", "synchronous=NORMAL", "foreign_keys=1"):
        connection.execute(f"PRAGMA {pragma}")
    return connection


def database(parts: Path, target: Path) -> dict[str, Any]:
    """Make a database of the project's schema that holds the parts."""
    target.unlink(missing_ok=True)
    connection = open_database(target)
    connection.execute("PRAGMA journal_mode=DELETE")
    for migration in sorted((ROOT / "partsdb/store/migrations").glob("*.sql")):
        connection.executescript(migration.read_text(encoding="utf-8"))
    from partsdb.rules.numbers import number_fold, number_key

    with parts.open(newline="", encoding="utf-8") as file:
        rows = list(csv.reader(file))[1:]
    makers = {name: i for i, name in enumerate(sorted({row[1] for row in rows}), start=1)}
    connection.execute("BEGIN")
    connection.executemany(
        "INSERT INTO maker (id, name, name_key) VALUES (?, ?, ?)",
        [(i, name, name.lower()) for name, i in makers.items()],
    )
    connection.executemany(
        "INSERT INTO part (id, maker_id, number, number_key, number_fold, description, added_at)"
        " VALUES (?, ?, ?, ?, ?, ?, ?)",
        ((int(i), makers[m], n, number_key(n), number_fold(n), d, NOW) for i, m, n, d in rows),
    )
    connection.execute(
        "INSERT INTO supplier (id, name, name_key) VALUES (1, 'Saltreeve', 'saltreeve')"
    )
    connection.execute("COMMIT")
    connection.close()
    return {}


def build(source: Path, target: Path) -> dict[str, Any]:
    """Index the parts of a database."""
    from partsdb.matching.engine.build import Catalogue
    from partsdb.matching.engine.make import build_index
    from partsdb.rules.pieces import abbreviations

    connection = sqlite3.connect(source)
    rows = connection.execute(
        "SELECT part.id, number, description, name FROM part JOIN maker ON maker.id = maker_id"
        " ORDER BY part.id"
    ).fetchall()
    columns = list(zip(*rows, strict=True))
    del rows
    build_index(target, Catalogue(*columns), stamp="scale", abbreviations=abbreviations())
    size = sum(path.stat().st_size for path in target.rglob("*") if path.is_file())
    return {"index_megabytes": size / 2**20}


def update(folder: Path) -> dict[str, Any]:
    """Change one part in an index and say how long that took, the process running already."""
    import numpy as np

    from partsdb.matching.engine.build import Catalogue
    from partsdb.matching.engine.make import update_index

    np.zeros(1)
    times = []
    for turn in range(3):
        changed = Catalogue(
            [7], [f"QX-{turn}-4711"], ["PACKING KIT, LEATHER, 15 MM"], ["Quillmere"]
        )
        started = time.perf_counter()
        update_index(folder, changed, [], stamp="scale")
        times.append(time.perf_counter() - started)
    return {"update_seconds": min(times)}


def match(index: Path, target: Path, path: Path) -> dict[str, Any]:
    """Match a list and store its lines and readings."""
    from partsdb.matching.lines import collector_paused

    with collector_paused():
        return _matched(index, target, path)


def _matched(index: Path, target: Path, path: Path) -> dict[str, Any]:
    from partsdb.matching.engine.run import match_list
    from partsdb.matching.engine.stored import reading_rows

    lines, truth = _read(path)
    connection = open_database(target)
    connection.execute("BEGIN IMMEDIATE")
    connection.execute(
        "INSERT INTO price_list (id, supplier_id, file_name, sha256, reader, read_at, read_by)"
        " VALUES (1, 1, ?, '', 'csv', ?, 'bench')",
        (path.name, NOW),
    )
    done = settled = wrong = 0
    for matched, evidence in match_list(index, lines, workers=2):
        stop = done + len(evidence)
        connection.executemany(_LINE, _line_rows(lines, done, stop))
        connection.executemany(_READING, reading_rows(matched, evidence, done + 1))
        best = matched.part_id[matched.first[:-1][matched.lane == 2]].tolist()
        settled += len(best)
        places = (matched.lane == 2).nonzero()[0].tolist()
        wrong += sum(truth[done + at] != str(part) for at, part in zip(places, best, strict=True))
        done = stop
    connection.execute("COMMIT")
    connection.close()
    return {"settled": settled, "wrong": wrong}


_LINE = (
    "INSERT INTO line (id, price_list_id, sheet, row, kind, code, code_key, description, fields)"
    " VALUES (?, 1, '', ?, 'item', ?, ?, ?, ?)"
)
_READING = (
    "INSERT INTO reading (line_id, kind, part_id, confidence, evidence, matcher_version)"
    " VALUES (?, ?, ?, ?, ?, ?)"
)


def _read(path: Path) -> tuple[Any, list[str]]:
    """Return the list's columns; the truth is only for counting."""
    from partsdb.matching.engine.match import Lines

    columns: list[list[str]] = [[], [], [], [], []]
    with path.open(newline="", encoding="utf-8") as file:
        reader = csv.reader(file)
        next(reader)
        while block := list(islice(reader, 20_000)):
            for column, cells in zip(columns, zip(*block, strict=True), strict=True):
                column.extend(cells)
    codes, descriptions, makers, truth, _ = columns
    return Lines(codes, descriptions, makers), truth


def _line_rows(lines: Any, start: int, stop: int) -> Iterator[tuple[Any, ...]]:
    from partsdb.matching.engine.texts import key_texts

    codes, said = lines.numbers[start:stop], lines.descriptions[start:stop]
    fields = (
        f'{{"code": {encode_basestring(code)}, "description": {encode_basestring(text)}}}'
        for code, text in zip(codes, said, strict=True)
    )
    ids = range(start + 1, stop + 1)
    return zip(ids, ids, codes, key_texts(codes), said, fields, strict=True)


if __name__ == "__main__":
    name, *paths = sys.argv[1:]
    print(
        json.dumps(
            {"database": database, "build": build, "update": update, "match": match}[name](
                *map(Path, paths)
            )
        )
    )
