"""The weight that a carrier charges for: actual or volumetric, by piece or by consignment.

Source: trade handbook 5.3. Divisors: 5000 express and 6000 general air (cm, kg), 139 (in, lb).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from partsdb.errors import InputRefusedError


@dataclass(frozen=True, slots=True)
class Piece:
    """A carton: its actual and its volumetric weight, in the carrier's unit of weight."""

    actual: Fraction
    volumetric: Fraction


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
    """Return `weight` rounded up to a whole multiple of `step`, as carriers bill it."""
    return ceil(weight / step) * step


def chargeable_weight(pieces: Sequence[Piece], *, per_piece: bool, step: Fraction) -> Fraction:
    """Return the weight that is billed: the larger of actual and volumetric.

    Whether they are compared (and rounded up to `step`) per piece or per consignment is a setting
    of the carrier.
    """
    if per_piece:
        weights = [round_up_to(max(piece.actual, piece.volumetric), step) for piece in pieces]
        return sum(weights, start=Fraction(0))
    actual = sum((piece.actual for piece in pieces), start=Fraction(0))
    volumetric = sum((piece.volumetric for piece in pieces), start=Fraction(0))
    return round_up_to(max(actual, volumetric), step)
