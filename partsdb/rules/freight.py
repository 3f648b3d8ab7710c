"""Freight: the weight that a carrier charges for, and tables of freight by weight or value.

Source: trade handbook 5.3. Divisors: 5000 express and 6000 general air (cm, kg), 139 (in, lb).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from partsdb.errors import InputRefusedError
from partsdb.rules.money import Money

NOTHING = Fraction(0)


@dataclass(frozen=True, slots=True)
class Piece:
    """A carton: its actual and its volumetric weight, in the carrier's unit of weight."""

    actual: Fraction
    volumetric: Fraction

    @property
    def greater(self) -> Fraction:
        """The larger of the two."""
        return max(self.actual, self.volumetric)


@dataclass(frozen=True, slots=True)
class Weighing:
    """How a carrier weighs, in kilograms and cubic centimetres.

    `divisor` cm³ count as one kilogram (None: only the actual weight counts); it is compared
    `per_piece` (each line of an order is a piece) or for the consignment, and billed in steps of
    `step_kg` (0: as it is).
    """

    divisor: int | None = None
    per_piece: bool = False
    step_kg: Fraction = NOTHING

    def piece(self, kilos: Fraction, volume_cm3: Fraction) -> Piece:
        """Return a piece with its volumetric weight; without a divisor it has none."""
        return Piece(kilos, volume_cm3 / self.divisor if self.divisor else NOTHING)

    def of_piece(self, piece: Piece) -> Fraction:
        """Return the weight by which a piece shares in the freight."""
        if self.divisor is None and not self.per_piece:
            return piece.actual
        return round_up_to(piece.greater, self.step_kg) if self.per_piece else piece.greater

    def billed(self, pieces: Sequence[Piece]) -> Fraction:
        """Return the weight that is billed for all the pieces."""
        return chargeable_weight(pieces, per_piece=self.per_piece, step=self.step_kg)


@dataclass(frozen=True, slots=True)
class FreightStep:
    """Freight from `start` on, and for each unit more `per_more`.

    By weight the start is in kilograms and itself belongs to the step below ("up to 5 kg"); by
    value it is in minor units of the goods' currency and belongs to this step ("from 100.00").
    """

    start: Fraction
    freight: Money
    per_more: Money | None = None


@dataclass(frozen=True, slots=True)
class FreightTable:
    """Steps in rising order, the first from 0 on, so that every order has its freight.

    Refused: steps that do not rise from 0; by weight also freight that falls with the weight, for
    then a heavier parcel would be cheaper, which is a slip of the pen.
    """

    by_weight: bool
    steps: tuple[FreightStep, ...]

    def __post_init__(self) -> None:
        starts = [step.start for step in self.steps]
        if not starts or starts[0] != 0 or starts != sorted(set(starts)):
            raise InputRefusedError(
                "the steps of a freight table rise, the first from 0 on",
                hint="give one row for each step, and the smallest order its own",
            )
        if not self.by_weight and any(step.per_more for step in self.steps):
            raise InputRefusedError(
                "freight by value has no price for each kilogram more",
                hint="give the freight of each step",
            )
        if self.by_weight and any(self._falls(place) for place in range(1, len(starts))):
            raise InputRefusedError(
                "the freight falls where the weight rises", hint="look for two rows that changed"
            )

    def _falls(self, place: int) -> bool:
        below, step = self.steps[place - 1], self.steps[place]
        return _cost(step, NOTHING) < _cost(below, step.start - below.start)

    def step(self, size: Fraction) -> FreightStep:
        """Return the step into which a weight (kg) or a value (minor units) falls."""
        reached = [
            step
            for step in self.steps
            if (step.start < size if self.by_weight else step.start <= size)
        ]
        return reached[-1] if reached else self.steps[0]

    def freight(self, size: Fraction, surcharge: Fraction = NOTHING) -> Money:
        """Return the freight for a weight (kg) or a value (minor units), rounded once."""
        step = self.step(size)
        major = _cost(step, max(size - step.start, NOTHING)) * (1 + surcharge)
        return Money.rounded(major, step.freight.currency)


def _cost(step: FreightStep, more: Fraction) -> Fraction:
    per_more = step.per_more.major if step.per_more else NOTHING
    return step.freight.major + per_more * more


_PACKED = re.compile(r"(\d{1,5})\s*[x×*]\s*(\d{1,5})\s*[x×*]\s*(\d{1,5})", re.ASCII)


def packed_volume_mm3(sides_mm: str) -> int:
    """Return the volume of "245x120x30", three sides in whole millimetres; all else is refused."""
    found = _PACKED.fullmatch(sides_mm.strip())
    sides = [int(side) for side in found.groups()] if found else [0]
    if 0 in sides:
        raise InputRefusedError(
            f"{sides_mm[:40]!r} is no packed size", hint="write three sides in mm: 245x120x30"
        )
    return sides[0] * sides[1] * sides[2]


def volumetric_weight(
    length: Fraction, width: Fraction, height: Fraction, *, divisor: int
) -> Fraction:
    """Return length × width × height ÷ divisor, exactly; the divisor settles the units."""
    if min(length, width, height, Fraction(divisor)) <= 0:
        raise InputRefusedError(
            "a carton's sides and the divisor are above zero", hint="measure the carton again"
        )
    return Fraction(length) * Fraction(width) * Fraction(height) / divisor


def round_up_to(weight: Fraction, step: Fraction) -> Fraction:
    """Return `weight` rounded up to a whole multiple of `step`, as carriers bill it (0: as is)."""
    return ceil(weight / step) * step if step else weight


def chargeable_weight(pieces: Sequence[Piece], *, per_piece: bool, step: Fraction) -> Fraction:
    """Return the weight that is billed: the larger of actual and volumetric.

    Whether they are compared (and rounded up to `step`) per piece or per consignment is a setting
    of the carrier.
    """
    if per_piece:
        weights = [round_up_to(piece.greater, step) for piece in pieces]
        return sum(weights, start=Fraction(0))
    actual = sum((piece.actual for piece in pieces), start=Fraction(0))
    volumetric = sum((piece.volumetric for piece in pieces), start=Fraction(0))
    return round_up_to(max(actual, volumetric), step)
