"""An invented catalogue and supplier's lists of any length, seeded; written as CSV."""

from __future__ import annotations

import csv
import random
from collections.abc import Iterator
from pathlib import Path

from tests.bench.damage import damaged, near_miss, worn

_NOUNS = [
    "PACKING KIT",
    "PISTON ROD",
    "INLET VALVE SEAT",
    "OUTLET BALL",
    "CHECK VALVE",
    "O-RING",
    "V-PACKING",
    "GLAND NUT",
    "UNLOADER VALVE",
    "PRESSURE SWITCH",
    "SPRAY TIP",
    "TIP GUARD",
    "HOSE ASSEMBLY",
    "SWIVEL FITTING",
    "SUCTION TUBE",
    "FILTER ELEMENT",
    "MANIFOLD FILTER",
    "DRAIN VALVE",
    "PRIME VALVE",
    "CYLINDER SLEEVE",
    "BEARING HOUSING",
    "CONNECTING ROD",
    "GEAR",
    "BRUSH SET",
    "CONTROL BOARD",
    "TRANSDUCER",
    "TRIGGER",
    "NEEDLE",
    "SEAL RETAINER",
    "WASHER",
    "SPRING",
    "RELIEF VALVE",
    "CRANKSHAFT",
    "PUMP HEAD",
    "WATER SEAL KIT",
    "OIL SEAL",
    "LANCE",
    "NOZZLE",
    "QUICK COUPLER",
]
_QUALITIES = [
    "STAINLESS",
    "BRASS",
    "TUNGSTEN CARBIDE",
    "CERAMIC",
    "LEATHER",
    "UHMW",
    "PTFE",
    "FKM",
    "NBR",
    "HIGH PRESSURE",
    "LOW PRESSURE",
    "UPPER",
    "LOWER",
    "FEMALE",
    "MALE",
    "LEFT",
    "RIGHT",
    "INLET",
    "OUTLET",
    "HEAVY DUTY",
]
_SIZES = [
    "1/4 IN",
    "3/8 IN",
    "1/2 IN",
    "3/4 IN",
    "5/16 IN",
    "M12",
    "M14",
    "M22",
    "15 MM",
    "18 MM",
    "20 MM",
    "24 MM",
    "3000 PSI",
    "4000 PSI",
    "250 BAR",
    "25 FT",
    "50 FT",
    "0.015",
    "0.017",
    "0.019",
    "0.021",
    "60 MESH",
    "100 MESH",
    "115V",
    "230V",
]
_PUMPS = [f"FOR PUMP {a}{b}" for a in ("AP", "PW", "GX", "HD", "LP") for b in range(100, 1000, 25)]
_LETTERS = ("XR", "TP", "HK", "BV", "SL", "OP", "IP", "ZB", "KW", "LM")
MAKERS = ("Quillmere", "Tarnbeck", "Vossgrund", "Corrowby", "Pellmarch", "Ambrelle")
# Shares of the lines of a list. A fifth of them is a near miss or an article that nobody knows.
_KINDS = {
    "exact": 24, "case": 5, "dash": 12, "spreadsheet": 3, "look-alike": 5, "prefix": 12,
    "transposition": 3, "cut": 2, "missing": 4, "near": 15, "unknown": 5,
}  # fmt: skip


def parts(count: int, seed: int) -> Iterator[tuple[int, str, str, str]]:
    """Yield id, maker, number and description of `count` parts; numbers run dense, as makers do."""
    rng = random.Random(seed)
    bases = [rng.randrange(100_000, 9_990_000) for _ in range(max(1, count // 400))]
    seen: set[str] = set()
    while len(seen) < count:
        number = _number(bases, rng)
        if number not in seen:
            seen.add(number)
            yield len(seen), rng.choice(MAKERS), number, _description(rng)


def _number(bases: list[int], rng: random.Random) -> str:
    form = rng.random()
    if form < 0.45:
        return str(rng.choice(bases) + rng.randrange(700))
    if form < 0.62:
        return (
            f"{rng.randrange(9999):04d}-{rng.randrange(9999):04d}{rng.choice(['', '', 'A', 'B'])}"
        )
    if form < 0.78:
        return f"{rng.choice(_LETTERS)}{rng.randrange(1, 99)}-{rng.randrange(99999):05d}"
    if form < 0.83:
        return f"00{rng.randrange(999999):06d}"
    if form < 0.92:
        return f"{rng.randrange(1, 10)}.{rng.randrange(100, 1000)}-{rng.randrange(1000):03d}.{rng.randrange(10)}"
    if form < 0.95:
        return f"{rng.randrange(1, 9999)}{rng.choice('ED')}{rng.randrange(10, 9999)}"
    return str(rng.randrange(10**11, 10**12 - 1))


def _description(rng: random.Random) -> str:
    words = [rng.choice(_NOUNS), rng.choice(_QUALITIES), rng.choice(_SIZES)]
    if rng.random() < 0.6:
        words.append(rng.choice(_SIZES))
    if rng.random() < 0.7:
        words.append(rng.choice(_PUMPS))
    return ", ".join(words)


def lines(
    catalogue: list[tuple[int, str, str, str]], count: int, seed: int
) -> Iterator[tuple[str, str, str, int, str]]:
    """Yield code, description, maker, the part's id (0 for none) and the kind of damage."""
    rng = random.Random(seed)
    kinds, shares = list(_KINDS), list(_KINDS.values())
    written = 0
    while written < count:
        part, maker, number, description = rng.choice(catalogue)
        kind = rng.choices(kinds, shares)[0]
        named = maker if rng.random() < 0.3 else ""
        if kind == "near":
            family = rng.choice(("digit", "transposed", "inserted", "deleted", "revision letter"))
            code, part = near_miss(number, family, rng), 0
            if rng.random() < 0.6:
                description = _description(rng)
        elif kind == "unknown":
            code, part, description = (
                f"{rng.choice(_LETTERS)}/{rng.randrange(10**8)}",
                0,
                _description(rng),
            )
        else:
            code = damaged(number, kind, rng)
        if code is None:
            continue
        written += 1
        yield code, worn(description, rng, cut=rng.random() < 0.2), named, part, kind


def write(path: Path, heading: tuple[str, ...], rows: Iterator[tuple[object, ...]]) -> None:
    """Write rows under a heading."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(heading)
        writer.writerows(rows)
