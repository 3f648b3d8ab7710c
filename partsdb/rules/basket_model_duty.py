"""Duty on charges that are shared between goods of several rates, as columns and rows.

A charge's customs value is shared out by weight or by value, so the duty on it is the charge times
the weighted average of the rates: neither is a sum. The average is written as bits, rounded up;
a bit times a bounded amount is exact in rows. What the rounding adds is taken off again, so that
the columns never come to more than the true duty, and to less by next to nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Protocol

from partsdb.rules.program import Columns, Terms, together

BITS = 17


class Line(Protocol):
    """What is asked of an offer in an order."""

    @property
    def goods(self) -> Terms: ...
    @property
    def bought(self) -> Terms: ...
    @property
    def extra_duty(self) -> Fraction: ...


@dataclass(frozen=True, slots=True)
class SharedCharges:
    """The customs value of the charges that are shared by weight, and by value."""

    by_weight: Terms
    by_value: Terms


def write_shared_duty(
    columns: Columns, lines: Sequence[Line], weights: Sequence[Terms], shared: SharedCharges
) -> None:
    """Write the duty above the lowest rate.

    `weights` are what each line weighs where freight is shared, nothing where it is not known.
    """
    pairs = list(zip(lines, weights, strict=True))
    unweighed = [line for line, weight in pairs if not any(factor for _, factor in weight)]
    by_weight, by_value = shared.by_weight, shared.by_value
    if unweighed and columns.most(by_weight):
        by_weight, by_value = _switched(columns, unweighed, shared)
    values = [(line.goods, line.extra_duty) for line in lines]
    weighed = [(weight, line.extra_duty) for line, weight in pairs]
    _duty(columns, by_weight, weighed)
    _duty(columns, by_value, values)


def _switched(
    columns: Columns, unweighed: Sequence[Line], shared: SharedCharges
) -> tuple[Terms, Terms]:
    """Share by value what goes by weight, where a line is bought whose weight is not known."""
    is_unknown = columns.add()
    bought = together(term for line in unweighed for term in line.bought)
    for line in unweighed:
        columns.limit([(is_unknown, 1.0), *((c, -f) for c, f in line.bought)], low=0)
    columns.limit([(is_unknown, -1.0), *bought], low=0)
    most = columns.most(shared.by_weight)
    by_weight, moved = (columns.add(high=most, whole=False) for _ in range(2))
    freight = [(c, -f) for c, f in shared.by_weight]
    columns.limit([(by_weight, 1.0), *freight, (is_unknown, most)], low=0)
    columns.limit([(moved, 1.0), *freight, (is_unknown, -most)], low=-most)
    return [(by_weight, 1.0)], [*shared.by_value, (moved, 1.0)]


def _duty(columns: Columns, charge: Terms, lines: Sequence[tuple[Terms, Fraction]]) -> None:
    """Write charge × average rate, where each line shares by its terms."""
    charge = together(charge)
    most, highest = columns.most(charge), float(max(rate for _, rate in lines))
    if not most or not highest:
        return
    whole = together(term for terms, _ in lines for term in terms)
    owed = together((c, f * float(rate)) for terms, rate in lines for c, f in terms)
    grain = highest / ((1 << BITS) - 1)
    average: Terms = []
    for bit in range(BITS):
        is_set, worth = columns.add(), grain * (1 << bit)
        average.append((_product(columns, is_set, whole, at_most=True), worth))
        columns.charge([(_product(columns, is_set, charge, at_most=False), worth)])
    # The average of the rates is no less than what the lines owe by their shares.
    scale = 10.0 / highest  # so that the row is neither very small nor very large
    columns.limit(
        together([*((c, f * scale) for c, f in average), *((c, -f * scale) for c, f in owed)]),
        low=0,
    )
    columns.charge(charge, -grain)


def _product(columns: Columns, is_set: int, terms: Terms, *, at_most: bool) -> int:
    """Return a column for bit × terms: what it cannot exceed, or what it cannot be under."""
    most = columns.most(terms)
    product = columns.add(high=most, whole=False)
    if at_most:
        columns.limit([(product, 1.0), (is_set, -most)], high=0)
        columns.limit([(product, 1.0), *((c, -f) for c, f in terms)], high=0)
    else:
        columns.limit([(product, 1.0), *((c, -f) for c, f in terms), (is_set, -most)], low=-most)
    return product
