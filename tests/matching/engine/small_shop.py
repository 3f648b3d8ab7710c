"""A small invented catalogue and a seeded list against it, for the tests of the engine."""

from __future__ import annotations

import random
from pathlib import Path

from partsdb.matching.engine.build import Catalogue
from partsdb.matching.engine.index import Index, open_index
from partsdb.matching.engine.learn import learn
from partsdb.matching.engine.line_words import WordFinder
from partsdb.matching.engine.make import build_index
from partsdb.matching.engine.match import Lines, Matched, match_chunk

Part = tuple[int, str, str, str]
ABBREVIATIONS = {"vlv": "valve", "ss": "stainless", "assy": "assembly"}

# id, maker, number, description: numbers lie close together, as makers number them.
PARTS: tuple[Part, ...] = (
    (11, "Quillmere", "24-1180", "packing kit, upper, leather, for pump QM390"),
    (12, "Quillmere", "24-1181", "packing kit, lower, leather, for pump QM390"),
    (13, "Quillmere", "24-1190", "inlet valve seat, tungsten carbide, 16 mm"),
    (14, "Quillmere", "OB-5507", "outlet ball, ceramic, 12 mm"),
    (15, "Tarnbeck", "7E12", "unloader valve, 250 bar"),
    (16, "Tarnbeck", "0078812", "lance, stainless, 900 mm"),
    (17, "Tarnbeck", "3-12", "spray nozzle, 25 degree, 0.019"),
    (18, "Vossgrund", "HX-22041", "hose assembly, 3/8 in, 15 m, 4000 psi"),
    (19, "Vossgrund", "HX-22042", "hose assembly, 1/2 in, 15 m, 3000 psi"),
    (20, "Ambrelle", "G14-NPT-SS", "nipple, 1/4 in, NPT, stainless, 10000 psi"),
    (21, "Ambrelle", "90.1177", "gauge, 63 mm, 400 bar"),
    (22, "Ambrelle", "90.1178", "gauge, 63 mm, 400 bar"),
    (23, "Corrowby", "24-1180", "gun handle, plastic, left"),
    (24, "Pellmarch", "123456789012", "gland ring, brass, 20 mm"),
    (25, "Quillmere", "55-7301", "piston rod, chrome, 18 mm"),
    (26, "Quillmere", "55-7302", "piston rod, ceramic, 18 mm"),
    (27, "Quillmere", "61-4402", ""),
)


def catalogue(parts: tuple[Part, ...] = PARTS) -> Catalogue:
    ids, makers, numbers, descriptions = zip(*parts, strict=True)
    return Catalogue(ids, numbers, descriptions, makers)


def indexed(folder: Path, parts: tuple[Part, ...] = PARTS) -> Index:
    build_index(folder, catalogue(parts), stamp="first", abbreviations=ABBREVIATIONS)
    index = open_index(folder, stamp="first")
    assert index is not None
    return index


def matched(index: Index, *rows: tuple[str, str] | tuple[str, str, str]) -> Matched:
    """Match rows of number, description and perhaps maker, as one list."""
    numbers, descriptions, makers = zip(*((*row, "")[:3] for row in rows), strict=True)
    lines = Lines(numbers, descriptions, makers)
    finder = WordFinder(index)
    return match_chunk(index, finder, lines, learn(index, finder, lines))


def answer(found: Matched, line: int = 0) -> tuple[int, list[int]]:
    """Return the lane of a line and the parts that it is offered."""
    start, stop = found.first[line : line + 2]
    return int(found.lane[line]), found.part_id[start:stop].tolist()


def seeded_parts(count: int, seed: int) -> tuple[Part, ...]:
    """Return invented parts, dense in number, many alike in words."""
    rng = random.Random(seed)
    nouns = ("packing kit", "piston rod", "check valve", "hose assembly", "spray tip", "o-ring")
    kinds = ("stainless", "brass", "leather", "ceramic", "upper", "lower")
    sizes = ("1/4 in", "3/8 in", "12 mm", "16 mm", "3000 psi", "250 bar", "0.017", "M14")
    numbers: set[str] = set()
    while len(numbers) < count:
        form = rng.random()
        base = rng.randrange(1000, 1000 + count * 2)
        numbers.add(
            f"{rng.randrange(20, 30)}-{base}" if form < 0.5
            else f"{rng.choice(('XR', 'SL', 'OB'))}{base}" if form < 0.8
            else f"00{base}" if form < 0.9 else f"{rng.randrange(10**11, 10**12)}"
        )  # fmt: skip
    return tuple(
        (i, rng.choice(("Quillmere", "Tarnbeck")), number,
         f"{rng.choice(nouns)}, {rng.choice(kinds)}, {rng.choice(sizes)}, for pump AP{rng.randrange(40)}")
        for i, number in enumerate(sorted(numbers), start=1)
    )  # fmt: skip


def seeded_lines(parts: tuple[Part, ...], count: int, seed: int) -> list[tuple[str, str, str]]:
    """Return number, description and maker of damaged lines."""
    rng = random.Random(seed)
    rows = []
    for _ in range(count):
        _, maker, number, description = rng.choice(parts)
        i = rng.randrange(len(number))
        number = rng.choice((
            number, number.lower(), number.replace("-", " "), "XQ-" + number, number.lstrip("0"),
            number[:i] + str(rng.randrange(10)) + number[i + 1 :], number[:i] + number[i + 1 :],
            number.replace("0", "O"), number[:-2], "", "\u0416" + number, number + "\u00c4",
        ))  # fmt: skip
        words = description.split(", ")
        rng.shuffle(words)
        rows.append((number, ", ".join(words[: rng.randrange(1, 5)]), rng.choice((maker, "", ""))))
    return rows
