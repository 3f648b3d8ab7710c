"""Matches two whole lists by text and, where the true pairs are given, says how well.

    python tests/bench/match_two_lists.py LEFT RIGHT [--gold GOLD] [--sep C] [--pairs OUT]

LEFT and RIGHT are text files with a header row: first column an id, the rest text or numbers.
GOLD holds pairs of ids (left, right). Nothing in GOLD reaches the matcher; the baselines beside
it do use it: they are given the threshold that is best for it.
"""

from __future__ import annotations

import sys
from pathlib import Path

# This folder must not be searched: a module of the standard library is called numbers as well.
sys.path[0] = str(Path(__file__).resolve().parents[2])

import argparse
import csv
import time
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from partsdb.matching.two_lists.match import Matching, match_lists
from partsdb.matching.two_lists.records import Listing, Record, plain
from partsdb.matching.two_lists.vectors import (
    indicators,
    nearest,
    row_dots,
    unit_rows,
    vocabulary,
    weighted,
)
from tests.bench import figures

IdPairs = set[tuple[str, str]]
Scored = list[tuple[float, str, str]]

# Comparing every pair takes a while: beyond so many pairs the rapidfuzz baseline is left out.
MOST_PAIRS = 60_000_000


def main() -> None:
    arguments = parsed()
    for path in (arguments.left, arguments.right, arguments.gold):
        if path is not None and not path.is_file():
            figures.missing(str(path))
    left, right = (listing(path, arguments.sep) for path in (arguments.left, arguments.right))
    started = time.perf_counter()
    matching = match_lists(left, right)
    seconds = time.perf_counter() - started
    found: dict[str, Any] = {
        "left": len(left.records), "right": len(right.records), "seconds": round(seconds, 2),
        "settled": len(matching.settled), "refined": matching.refined,
    }  # fmt: skip
    if arguments.pairs:
        write_pairs(arguments.pairs, matching)
    if arguments.gold:
        gold = true_pairs(arguments.gold, arguments.sep, left, right)
        found |= judged(matching, gold, left, right)
    else:
        figures.table(("", "figure"), [(name, value) for name, value in found.items()])
    figures.finish(found)


def parsed() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("left", type=Path)
    parser.add_argument("right", type=Path)
    parser.add_argument("--gold", type=Path)
    parser.add_argument("--sep", default=",", help="one character between columns")
    parser.add_argument("--pairs", type=Path, help="write the settled pairs here as CSV")
    return parser.parse_args()


def rows_of(path: Path, sep: str) -> list[list[str]]:
    """Return the rows of a file in UTF-8, or in the Western code page where it is none."""
    data = path.read_bytes()
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
    csv.field_size_limit(1 << 24)
    return [row for row in csv.reader(text.splitlines(keepends=True), delimiter=sep) if row]


def listing(path: Path, sep: str) -> Listing:
    """Return a file as a list; short rows are filled up, and cells beyond the header kept."""
    found = rows_of(path, sep)
    if not found:
        print(
            f"{path} is empty: give a text file with a header row and, below it, one row for each"
            " thing",
            file=sys.stderr,
        )
        raise SystemExit(2)
    header, *rows = found
    width = max([len(header), *map(len, rows)])
    headings = tuple((header + [""] * width)[1:width])
    return Listing(
        headings,
        tuple(Record(row[0].strip(), tuple((row + [""] * width)[1:width])) for row in rows),
    )


def true_pairs(path: Path, sep: str, left: Listing, right: Listing) -> IdPairs:
    """Return the pairs of ids; a header is what names no row of either list."""
    known = {r.ident for r in left.records}, {r.ident for r in right.records}
    rows = rows_of(path, sep)
    if rows and len(rows[0]) < 2:
        rows = rows_of(path, ",")
    pairs = [(row[0].strip(), row[1].strip()) for row in rows]
    if pairs and (pairs[0][0] not in known[0] or pairs[0][1] not in known[1]):
        pairs = pairs[1:]
    return set(pairs)


def judged(matching: Matching, gold: IdPairs, left: Listing, right: Listing) -> dict[str, Any]:
    """Print our figures and the baselines' side by side; return ours with the baselines' F1."""
    ours = quality({(pair.left, pair.right) for pair in matching.settled}, gold)
    within = recall_within(matching.nearest, gold)
    rows = [("partsdb, no labels", len(matching.settled), *ours, within)]
    for name, scored, known in baselines(left, right):
        settled, measured = best_known(scored, gold) if known else every(scored, gold)
        rows.append((name, settled, *measured, "-"))
    figures.table(("method", "pairs", "precision", "recall", "F1", "within 10"), rows)
    precision, recall, f1 = ours
    return {
        "precision": precision, "recall": recall, "f1": f1, "recall_within_10": within,
        "baseline_f1": {row[0]: row[4] for row in rows[1:]},
    }  # fmt: skip


def quality(settled: IdPairs, gold: IdPairs) -> tuple[float, float, float]:
    """Return precision, recall and F1."""
    true = len(settled & gold)
    return (
        true / max(1, len(settled)),
        true / max(1, len(gold)),
        2 * true / max(1, len(settled) + len(gold)),
    )


def recall_within(offered: dict[str, tuple[str, ...]], gold: IdPairs) -> float:
    """Return the share of true pairs whose right row is among the ten offered."""
    return sum(right in offered.get(left, ()) for left, right in gold) / max(1, len(gold))


def baselines(left: Listing, right: Listing) -> Iterable[tuple[str, Scored, bool]]:
    """Yield the simple methods: name, scored one-to-one pairs, whether gold sets the threshold."""
    texts = [[plain(" ".join(r.cells)) for r in one.records] for one in (left, right)]
    names = [[plain(r.cells[0]) for r in one.records] for one in (left, right)]
    idents = [[r.ident for r in one.records] for one in (left, right)]
    if len(texts[0]) * len(texts[1]) <= MOST_PAIRS:
        for what, rows in (("every cell", texts), ("first cell", names)):
            scored = token_sets(rows[0], rows[1], idents)
            yield f"rapidfuzz token_set_ratio, {what}, best threshold known", scored, True
    yield "IDF cosine, mutual best", mutual_best(texts[0], texts[1], idents), False


def token_sets(left: Sequence[str], right: Sequence[str], idents: list[list[str]]) -> Scored:
    """Return the best right row of each left row, each right row once, by token_set_ratio."""
    from rapidfuzz import fuzz, process

    scores = process.cdist(left, right, scorer=fuzz.token_set_ratio, workers=2, dtype=np.uint8)
    rows, columns = np.unravel_index(np.argsort(-scores.ravel().astype(np.int16), kind="stable"),
                                     scores.shape)  # fmt: skip
    used: tuple[set[int], set[int]] = set(), set()
    taken = []
    for a, b in zip(rows.tolist(), columns.tolist(), strict=True):
        if a not in used[0] and b not in used[1]:
            used[0].add(a)
            used[1].add(b)
            taken.append((float(scores[a, b]), idents[0][a], idents[1][b]))
            if len(taken) == min(scores.shape):
                break
    return taken


def mutual_best(left: Sequence[str], right: Sequence[str], idents: list[list[str]]) -> Scored:
    """Return the rows that are each other's nearest by the cosine of rare words."""
    words = [text.split() for text in left], [text.split() for text in right]
    terms = vocabulary(*words)
    a, b = (unit_rows(weighted(indicators(rows, terms), terms.rarity)) for rows in words)
    pairs = nearest(a, b, each_left=1, each_right=1)
    scores = row_dots(a, b, pairs)
    best = [np.full(count, -1.0) for count in (len(left), len(right))]
    for side in (0, 1):
        np.maximum.at(best[side], pairs[:, side], scores)
    return [
        (float(score), idents[0][i], idents[1][j])
        for (i, j), score in zip(pairs.tolist(), scores, strict=True)
        if score >= best[0][i] and score >= best[1][j]
    ]


def best_known(scored: Scored, gold: IdPairs) -> tuple[int, tuple[float, float, float]]:
    """Return the pairs and quality at the threshold that gold says is best."""
    ordered = sorted(scored, reverse=True)
    true, best, most = 0, 0, 0.0
    for count, (_, left, right) in enumerate(ordered, 1):
        true += (left, right) in gold
        f1 = 2 * true / (count + len(gold))
        if f1 > most:
            best, most = count, f1
    return best, quality({(left, right) for _, left, right in ordered[:best]}, gold)


def every(scored: Scored, gold: IdPairs) -> tuple[int, tuple[float, float, float]]:
    """Return the pairs and quality without a threshold."""
    return len(scored), quality({(left, right) for _, left, right in scored}, gold)


def write_pairs(path: Path, matching: Matching) -> None:
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(("left", "right", "score"))
        writer.writerows((p.left, p.right, f"{p.score:.6f}") for p in matching.settled)


if __name__ == "__main__":
    main()
