"""Damages real part numbers in every way we know and counts what the engine makes of them.

    python tests/bench/numbers.py [--data ../shared/data] [--trials 8000] [--seed 1]

The last line is one JSON object. Near-miss numbers are numbers of no part, one edit from a real
one, described as that part, as a sibling or as itself; none may settle. Where the typo makes
another real part's number it is counted apart.
"""

from __future__ import annotations

import sys
from pathlib import Path

# This folder must not be searched: a module of the standard library is called numbers as well.
sys.path[0] = str(Path(__file__).resolve().parents[2])

import argparse
import csv
import random
import tempfile
from collections import Counter

from tests.bench import figures
from tests.bench.damage import NEAR, damaged, key, near_miss, worn

TRUE_KINDS = (
    "exact", "case", "dash", "zero", "look-alike", "prefix", "suffix", "transposition",
    "cut description", "spreadsheet",
)  # fmt: skip
# How often each kind stands in the list of true lines, before those that cannot happen.
SHARES = (20, 8, 14, 4, 8, 12, 6, 5, 12, 4)
# Reported apart: what is left of these numbers is no damage, it is a loss.
LOST_KINDS = ("cut", "missing")
Part = tuple[str, str]
Trial = tuple[str, str, int | None, str]


def read_parts(path: Path) -> list[Part]:
    """Return number and description of every real part, the described one where two are alike."""
    parts: dict[str, Part] = {}
    with path.open(newline="", encoding="utf-8") as file:
        for row in csv.DictReader(file):
            known = parts.get(key(row["number"]))
            if known is None or not known[1]:
                parts[key(row["number"])] = (row["number"], row["description"])
    return [part for part in parts.values() if len(key(part[0])) >= 4 and part[1]]


def true_trials(parts: list[Part], count: int, rng: random.Random) -> list[Trial]:
    """Return lines that are parts of the catalogue, as lists write them."""
    kinds = rng.choices(TRUE_KINDS, SHARES, k=count) + count // 20 * list(LOST_KINDS)
    able = {kind: [i for i, part in enumerate(parts) if _can(part, kind)] for kind in set(kinds)}
    trials: list[Trial] = []
    for kind in kinds:
        if not able[kind]:
            continue
        i = rng.choice(able[kind])
        how = "exact" if kind == "cut description" else kind
        number = damaged(parts[i][0], how, rng)
        if number is not None:
            description = worn(parts[i][1], rng, cut=kind == "cut description")
            trials.append((number, description, i, kind))
    return trials


def _can(part: Part, kind: str) -> bool:
    how = "exact" if kind == "cut description" else kind
    return damaged(part[0], how, random.Random(0)) is not None


def near_trials(parts: list[Part], count: int, rng: random.Random) -> list[Trial]:
    """Return `count` near misses of each family that are no part's number."""
    taken = {key(part[0]) for part in parts}
    trials: list[Trial] = []
    for family in NEAR:
        wanted = len(trials) + count
        while len(trials) < wanted:
            number, description = rng.choice(parts)
            wrong = near_miss(number, family, rng)
            if wrong is None or key(wrong) in taken:
                continue
            text, tag = _described(description, parts, rng)
            trials.append(
                (wrong, worn(text, rng, cut=rng.random() < 0.3), None, f"{family}: {tag}")
            )
    return trials


def _described(description: str, parts: list[Part], rng: random.Random) -> tuple[str, str]:
    """Return what a near miss says of itself: the part's words, a sibling's, or its own."""
    if (chance := rng.random()) < 0.5:
        return description, "same words"
    figures_ = [word for word in description.split() if any(sign.isdigit() for sign in word)]
    if chance < 0.85 and figures_:
        word = rng.choice(figures_)
        other = "".join(
            str((int(c) + rng.randrange(1, 9)) % 10) if c in "0123456789" else c for c in word
        )
        return description.replace(word, other, 1), "one figure off"
    return rng.choice(parts)[1], "other words"


def twin_trials(parts: list[Part], count: int, rng: random.Random) -> list[Trial]:
    """Return near misses that happen to be another real part's number, described as the first."""
    by_key = {key(part[0]): i for i, part in enumerate(parts)}
    trials: list[Trial] = []
    while len(trials) < count:
        i = rng.randrange(len(parts))
        wrong = near_miss(parts[i][0], rng.choice(NEAR), rng)
        other = by_key.get(key(wrong)) if wrong else None
        if wrong is None or other is None or other == i:
            continue
        told = "told apart" if parts[other][1] != parts[i][1] else "same description"
        trials.append((wrong, worn(parts[i][1], rng, cut=rng.random() < 0.15), i, told))
    return trials


def run(parts: list[Part], trials: list[Trial], folder: Path) -> list[tuple[int, list[int]]]:
    """Return lane and offered parts of each trial, matched as one list."""
    from partsdb.matching.engine.build import Catalogue
    from partsdb.matching.engine.make import build_index
    from partsdb.matching.engine.match import Lines
    from partsdb.matching.engine.run import match_list
    from partsdb.rules.pieces import abbreviations

    numbers, descriptions = zip(*parts, strict=True)
    catalogue = Catalogue(range(len(parts)), numbers, descriptions, [""] * len(parts))
    build_index(folder, catalogue, stamp="bench", abbreviations=abbreviations())
    lines = Lines([t[0] for t in trials], [t[1] for t in trials], [""] * len(trials))
    answers: list[tuple[int, list[int]]] = []
    for matched, _ in match_list(folder, lines, workers=2):
        first = matched.first.tolist()
        offered = matched.part_id.tolist()
        for lane, start, end in zip(matched.lane.tolist(), first, first[1:], strict=False):
            answers.append((lane, offered[start:end]))
    return answers


def count_true(
    trials: list[Trial], answers: list[tuple[int, list[int]]]
) -> dict[str, Counter[str]]:
    """Return by kind how many lines settled, rightly, were among the five, went nowhere."""
    by_kind: dict[str, Counter[str]] = {}
    for (_, _, truth, kind), (lane, offered) in zip(trials, answers, strict=True):
        counts = by_kind.setdefault(kind, Counter())
        counts["lines"] += 1
        counts["settled"] += lane == 2
        counts["right"] += lane == 2 and offered[0] == truth
        counts["offered"] += truth in offered
        counts["none"] += lane == 0
    return by_kind


def shown(title: str, by_kind: dict[str, Counter[str]]) -> Counter[str]:
    """Print the counts by kind and return their sum."""
    total: Counter[str] = Counter()
    rows = []
    for kind, counts in sorted(by_kind.items()):
        total.update(counts)
        rows.append(_row(kind, counts))
    print(f"\n{title}")
    figures.table(
        ("kind", "lines", "settled", "wrongly", "share settled", "settled or offered", "nowhere"),
        [*rows, _row("all", total)],
    )
    return total


def _row(kind: str, counts: Counter[str]) -> tuple[object, ...]:
    lines = max(1, counts["lines"])
    wrong = counts["settled"] - counts["right"]
    offered, nowhere = counts["offered"] / lines, counts["none"] / lines
    return (
        kind,
        counts["lines"],
        counts["settled"],
        wrong,
        counts["settled"] / lines,
        offered,
        nowhere,
    )


def main() -> None:
    """Run the trials and print what came of them."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--data", type=Path, default=Path("../shared/data"))
    parser.add_argument("--trials", type=int, default=8000, help="near misses a family")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    path = asked.data / "part_numbers" / "part_numbers.csv"
    if not path.is_file():
        figures.missing(str(path))
    rng = random.Random(asked.seed)
    parts = read_parts(path)
    rng.shuffle(parts)
    unknown, known = parts[: len(parts) // 10], parts[len(parts) // 10 :]
    true = true_trials(known, 4 * asked.trials, rng)
    near = near_trials(known, asked.trials, rng)
    twins = twin_trials(known, asked.trials, rng)
    strange = [(n, worn(d, rng), None, "unknown number") for n, d in unknown]
    with tempfile.TemporaryDirectory() as folder:
        every = [*true, *near, *twins, *strange]
        answers = run(known, every, Path(folder))
    report(known, every, answers, len(true))


def report(
    known: list[Part], trials: list[Trial], answers: list[tuple[int, list[int]]], true: int
) -> None:
    """Print the tables, the targets and the JSON object."""
    every = count_true(trials[:true], answers[:true])
    kinds = {kind: counts for kind, counts in every.items() if kind not in LOST_KINDS}
    others = count_true(trials[true:], answers[true:])
    right = shown(f"lines that are one of {len(known):,} real parts", kinds)
    shown("numbers lost or cut short", {kind: every[kind] for kind in LOST_KINDS})
    shown("lines that are none, or whose number is another real part's", others)
    near = sum(c["settled"] for kind, c in others.items() if ":" in kind)
    tried = sum(c["lines"] for kind, c in others.items() if ":" in kind)
    numbered = right + every["cut"]
    told, same = others["told apart"], others["same description"]
    twins = (told["settled"] - told["right"], told["lines"])
    same_wrong = (same["settled"] - same["right"], same["lines"])
    print()
    met = figures.targets([
        ("near misses settled", near, "<=", 0),
        ("near misses tried", tried, ">=", 30_000),
        ("another part's number, settled wrongly", (twins[0] + same_wrong[0]) / (twins[1] + same_wrong[1]), "<=", 0.01),
        ("the same, descriptions differing", twins[0] / twins[1], "<=", 0.01),
        ("precision of the settled lane", right["right"] / max(1, right["settled"]), ">=", 0.999),
        ("true lines settled", right["settled"] / right["lines"], ">=", 0.70),
        ("settled or offered, number present", numbered["offered"] / numbered["lines"], ">=", 0.99),
    ])  # fmt: skip
    figures.finish({
        "near_misses": tried, "near_misses_settled": near,
        "twins": twins[1], "twins_settled_wrongly": twins[0],
        "twins_same_description": same_wrong[1], "twins_same_description_settled": same_wrong[0],
        "precision": right["right"] / max(1, right["settled"]),
        "share_settled": right["settled"] / right["lines"],
        "offered": numbered["offered"] / numbered["lines"],
        "kinds": {kind: dict(counts) for kind, counts in {**every, **others}.items()},
        "met": met,
    })  # fmt: skip


if __name__ == "__main__":
    main()
