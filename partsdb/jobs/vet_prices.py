"""Which prices of a list lie far below the others: asked about, and never bought for that.

Three comparisons, the first that can be made: with what others ask for the same and for accepted
parts; with how far the rest of the list lies from what others ask, where only one other does; with
articles of the list that read alike, where nobody else quotes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from statistics import median

from partsdb.jobs.market import Market, groups_of
from partsdb.jobs.vet_judged import Judged
from partsdb.matching.readings import ReadingKind
from partsdb.rules.descriptions import parse
from partsdb.rules.material_words import materials_in
from partsdb.rules.outliers import (
    CHEAP_RATIO,
    MIN_QUOTES,
    Z_LIMIT,
    Alike,
    Level,
    PriceSign,
    far_below,
    judge_price,
    level_of,
    slip_of,
)
from partsdb.rules.verdict import Check, Outcome, Verdict, worst_verdict

# Common practice, no source: fewer lines than this show no price level of a list.
LEVEL_FROM = 20


def priced(lines: Sequence[Judged], market: Market) -> list[Judged]:
    """Return the lines, each with the count of prices compared and a check where it is too low.

    Quotes are those of the list itself and of other suppliers for the part and for what may stand
    in for it, each as the price of one unit in the home currency at the plain rate of the day.
    """
    levels = {kind: _level(lines, market, kind) for kind in ReadingKind}
    alike = _alike(lines, market.prices)
    return [
        _checked(line, price, _Compared(market, levels[line.line.reading.kind], ratio, peers))
        if price is not None
        else line
        for line, price, ratio, peers in zip(
            lines, market.prices, market.ratios, alike, strict=True
        )
    ]


class _Compared:
    """What one line's price can be held against."""

    def __init__(
        self, market: Market, level: Level | None, ratio: float | None, alike: Alike | None
    ) -> None:
        self.quotes, self.level, self.alike = market.quotes, level, alike
        self.ratio = None if ratio is None else _exact(ratio)


def _level(lines: Sequence[Judged], market: Market, kind: ReadingKind) -> Level | None:
    """Return how the lines of one kind lie against what others ask, the list's price level."""
    found = level_of(
        [
            _exact(ratio)
            for line, ratio in zip(lines, market.ratios, strict=True)
            if ratio is not None and line.line.reading.kind is kind
        ]
    )
    return found if found and found.count >= LEVEL_FROM else None


def _exact(ratio: float) -> Fraction:
    return Fraction(ratio).limit_denominator(1_000_000)


def _alike(lines: Sequence[Judged], prices: Sequence[Fraction | None]) -> list[Alike | None]:
    """Return for each line the prices of all of the same role, sizes, threads and materials."""
    keys = [_reads_as(line) if price else None for line, price in zip(lines, prices, strict=True)]
    groups: dict[tuple[object, ...], list[Fraction]] = {}
    for key, price in zip(keys, prices, strict=True):
        if key is not None and price is not None:
            groups.setdefault(key, []).append(price)
    alike = {key: Alike(found) for key, found in groups.items()}
    return [None if key is None else alike[key] for key in keys]


def _reads_as(line: Judged) -> tuple[object, ...] | None:
    """Return what makes two articles alike, None where the text says too little to tell."""
    text = line.line.listed.text.description
    said = parse(text)
    measures = frozenset((*said.sizes, *said.threads))
    if not (line.role and measures):
        return None
    return line.role, measures, materials_in(text)


def _checked(line: Judged, price: Fraction, against: _Compared) -> Judged:
    said, compared = _too_low(line, price, against)
    line = replace(line, compared=compared)
    if not said:
        return line
    text = f"{said}: demand the rating certificate before buying"
    check = Check("price", Outcome.NOT_SHOWN, text, code="PRICE_LOW")
    if line.line.reading.kind is ReadingKind.TO_REVIEW:
        return replace(line, checks=(check, *line.checks))
    verdict = worst_verdict([line.verdict or Verdict.ASK_FIRST, Verdict.ASK_FIRST])
    return replace(line, verdict=verdict, checks=(check, *line.checks), fits=())


def _too_low(line: Judged, price: Fraction, against: _Compared) -> tuple[str, int]:
    """Return in words why the price is too low ("" if not), and how many it was held against."""
    found = [_direct(price, _others(line, price, against, group)) for group in groups_of(line)]
    told = [each for each in found if each is not None]
    if told:
        # A line to review is low only if it is whatever part it may be.
        said = told[0][0] if all(text for text, _ in told) else ""
        compared = sum(count for _, count in told)
        if said or compared >= MIN_QUOTES:
            return said, compared
    if against.ratio is not None and against.level is not None:
        return _against_level(against.ratio, against.level), against.level.count
    if against.alike is None:
        return "", 0
    return against.alike.far_below(price), against.alike.others()


def _others(line: Judged, price: Fraction, against: _Compared, group: int) -> list[Fraction]:
    """Return the quotes for a part without the line's own price, which is one of its group's."""
    others = list(against.quotes.get(group, ()))
    if line.group is not None:
        others.remove(price)
    return others


def _direct(price: Fraction, others: Sequence[Fraction]) -> tuple[str, int] | None:
    """Return why the price is too low among the other quotes, and their count; None of none."""
    if not others:
        return None
    found = judge_price(price, [*others, price])
    text = found.text if found.sign is PriceSign.TOO_CHEAP else far_below(price, others)
    return (f"{text}{slip_of(found.ratio)}" if text else ""), len(others)


def _against_level(ratio: Fraction, level: Level) -> str:
    """Return why the price is too low where the list's own price level is the measure."""
    z, share = level.z(ratio), level.ratio(ratio)
    # Both: where a list follows the others to the cent, a hair's breadth is many deviations.
    if z is None or z >= -Z_LIMIT or share >= CHEAP_RATIO:
        return ""
    return (
        f"{float(ratio):.2f} times what others ask, {share:.2f} times how the list's "
        f"{level.count} comparable prices lie, modified z {z:.1f}{slip_of(share)}"
    )


def prices_told(lines: Sequence[Judged], market: Market) -> str:
    """Return in words how many prices could be compared, and how the list lies against others."""
    known = sum(price is not None for price in market.prices)
    if not known:
        return ""
    compared = sum(bool(line.compared) for line in lines)
    said = f"{compared} of {known} prices could be compared"
    ratios = [ratio for ratio in market.ratios if ratio]
    if ratios:
        said += (
            f", {len(ratios)} with what others ask for the same: the list lies at "
            f"{median(ratios):.2f} times their prices"
        )
    return said + "; the rest has nothing beside it"
