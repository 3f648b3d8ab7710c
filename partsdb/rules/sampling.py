"""How many to inspect on arrival, and what a sample proves.

ISO 2859-1 (ANSI/ASQ Z1.4) single sampling, normal, tightened and reduced, AQL 0.065 to 6.5, for a
series of lots from one source; plans without a permitted defect (c = 0) for safety-critical or
single lots. No sample proves a burst strength. Source: trade handbook 6.1 to 6.3; the reduced
table, which it does not give, is from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil, comb, log, log1p

from partsdb.errors import InputRefusedError, UsageError
from partsdb.rules.evidence_grade import beta_cdf, beta_quantile
from partsdb.rules.money import plain_decimal
from partsdb.rules.switching import Severity
from partsdb.tables import Row, rows

LETTERS = "ABCDEFGHJKLMNPQR"
SAMPLE_SIZES = (2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000)
# Table II-C: two letters earlier, never below 2.
REDUCED_SIZES = (2, 2, *SAMPLE_SIZES[:-2])
LEVELS = ("S-1", "S-2", "S-3", "S-4", "I", "II", "III")
# The preferred series from 0.010; a plan depends only on its index plus that of the letter.
_AQLS = ("0.010", "0.015", "0.025", "0.040", "0.065", "0.10", "0.15", "0.25",
         "0.40", "0.65", "1.0", "1.5", "2.5", "4.0", "6.5")  # fmt: skip
AQLS = _AQLS[4:]
_AQL_INDEX = {Fraction(aql): index for index, aql in enumerate(_AQLS) if aql in AQLS}
_MIN_RATE = Fraction(1, 10_000)


# Index sum -> acceptance number, +1 (use the plan below) or -1 (use the plan above).
_NORMAL_ACCEPT = dict(zip((14, *range(17, 25)), (0, 1, 2, 3, 5, 7, 10, 14, 21), strict=True))
_TIGHTENED_ACCEPT = dict(zip((15, *range(18, 25)), (0, 1, 2, 3, 5, 8, 12, 18), strict=True))
# Table II-C, from memory, of MIL-STD-105E and ISO 2859-1:1989. Its gap between Ac and Re is closed
# on the safe side: what it accepts only to go back to normal is not accepted. Later editions permit
# no fewer, so no plan here accepts what one of theirs refuses.
_REDUCED_ACCEPT = dict(zip((14, *range(17, 25)), (0, 0, 1, 1, 2, 3, 5, 7, 10), strict=True))
_ACCEPT = {
    Severity.NORMAL: _NORMAL_ACCEPT,
    Severity.TIGHTENED: _TIGHTENED_ACCEPT,
    Severity.REDUCED: _REDUCED_ACCEPT,
}
_UP = 15  # the arrow between Ac 0 and Ac 1; on tightened inspection it points down


@dataclass(frozen=True, slots=True)
class Plan:
    """Inspect `n`; accept the lot with up to `ac` defects, reject it from `re` on."""

    letter: str
    n: int
    ac: int

    @property
    def re(self) -> int:
        """The rejection number, one above the acceptance number."""
        return self.ac + 1


@dataclass(frozen=True, slots=True)
class LotPlan:
    """The plan for one lot; `inspect_all` when the sample would be the whole lot or more."""

    plan: Plan
    n: int
    inspect_all: bool


def code_letter(lot: int, level: str = "II") -> str:
    """Return the code letter of ISO 2859-1 table I for a lot of 2 or more."""
    if level not in LEVELS:
        raise UsageError(
            f"{level!r} is no inspection level", hint=f"use one of {', '.join(LEVELS)}"
        )
    if lot < 2:
        raise UsageError(f"a lot of {lot} has no code letter", hint="inspect every piece of it")
    return next(row[level] for row in rows("aql_code_letters") if _holds(row, lot))


def _holds(row: Row, lot: int) -> bool:
    return int(row["lot_from"]) <= lot and (not row["lot_to"] or lot <= int(row["lot_to"]))


def plan(letter: str, aql: str, severity: Severity = Severity.NORMAL) -> Plan:
    """Return the plan at `letter` and `aql`, arrows followed: the new letter has its own n.

    `aql` in per cent as text, "1.0" or "0.65", one of `AQLS`.
    """
    index = _aql_index(aql)
    if letter not in LETTERS or len(letter) != 1:
        raise UsageError(f"{letter!r} is no code letter", hint=f"use one of {LETTERS}")
    if severity is Severity.DISCONTINUED:
        raise UsageError("inspection of this source is discontinued", hint="stop buying from it")
    place = LETTERS.index(letter)
    while (ac := _accept(place + index, severity)) is None:
        place += _arrow(place + index, severity)
    sizes = REDUCED_SIZES if severity is Severity.REDUCED else SAMPLE_SIZES
    return Plan(LETTERS[place], sizes[place], ac)


def _aql_index(aql: str) -> int:
    try:
        return _AQL_INDEX[plain_decimal(aql)]
    except (KeyError, InputRefusedError):
        raise UsageError(
            f"{aql!r} is no AQL of the table", hint=f"use one of {', '.join(AQLS)}"
        ) from None


def _accept(index_sum: int, severity: Severity) -> int | None:
    return _ACCEPT[severity].get(index_sum)


def _arrow(index_sum: int, severity: Severity) -> int:
    if index_sum > max(_NORMAL_ACCEPT):
        return -1
    return -1 if severity is not Severity.TIGHTENED and index_sum == _UP else 1


def plan_for_lot(
    lot: int, *, aql: str, level: str = "II", severity: Severity = Severity.NORMAL
) -> LotPlan:
    """Return how many of a lot to inspect; a sample as large as the lot means every piece."""
    found = plan(code_letter(lot, level), aql, severity)
    return LotPlan(found, min(found.n, lot), found.n >= lot)


def clean_sample(max_rate: Fraction, beta: Fraction) -> int:
    """Return the n that, free of defects, excludes a defect rate of `max_rate` or more.

    A lot that bad passes with probability `beta` at most: the smallest n with
    (1 - max_rate)^n <= beta, exactly. For lots much larger than the sample.
    """
    if not (_MIN_RATE <= max_rate < 1 and 0 < beta < 1):
        raise UsageError(
            "a defect rate is from 1/10000 to 1 and a risk between 0 and 1",
            hint="write 5 % as 0.05",
        )
    n = max(1, ceil(log(beta) / log1p(-max_rate)) - 1)
    # The logarithms may be off by one at equality, so the last steps are exact.
    while (1 - max_rate) ** n > beta:
        n += 1
    return n


def clean_sample_of_lot(lot: int, defective: int, beta: Fraction) -> int:
    """Return the n of a small lot that, free of defects, excludes `defective` or more in it.

    The smallest n with C(N-D, n) / C(N, n) <= beta, in exact fractions.
    """
    if not (0 < defective <= lot and 0 < beta < 1):
        raise UsageError(
            f"{defective} defective of {lot} cannot be looked for",
            hint="give 1 to all of the lot, and a risk between 0 and 1",
        )
    low, high = 0, lot
    while high - low > 1:
        middle = (low + high) // 2
        passes = lot_acceptance(lot, defective, n=middle, c=0) <= beta
        low, high = (low, middle) if passes else (middle, high)
    return high


def acceptance(n: int, c: int, rate: float) -> float:
    """Return the probability that a sample of n with c permitted accepts: the OC curve."""
    return 1.0 if c >= n else 1 - beta_cdf(rate, c + 1, n - c)


def rate_at_acceptance(n: int, c: int, probability: float) -> float:
    """Return the defect rate at which the plan accepts with this probability."""
    if not (0 <= c < n and 0 < probability < 1):
        raise UsageError(
            f"a plan of n {n}, c {c} has no such point", hint="give 0 <= c < n and 0 < Pa < 1"
        )
    return beta_quantile(1 - probability, c + 1, n - c)


def lot_acceptance(lot: int, defective: int, *, n: int, c: int) -> Fraction:
    """Return the exact probability that n out of a lot, with c permitted, accept it."""
    ways = sum(
        comb(defective, found) * comb(lot - defective, n - found)
        for found in range(min(c, n, defective) + 1)
    )
    return Fraction(ways, comb(lot, n))
