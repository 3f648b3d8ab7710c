"""What a rebuild costs: parts at the door, labour, the comeback to be expected, the waiting.

The safety gate runs before: a part without a verdict that allows it is not an option at any price,
and injury is never a term in the sum. Source: trade handbook 5.3, 5.6, 5.7 example 2.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from partsdb.errors import InputRefusedError
from partsdb.rules.costing import Step, per_cent
from partsdb.rules.evidence_grade import Interval, wilson_interval
from partsdb.rules.money import Money
from partsdb.rules.verdict import Verdict
from partsdb.tables import by_key

# Common practice, no source: what a grade is worth before the shop has fitted any.
PRIOR_FITTINGS = 20
ALLOWED = (Verdict.FIT, Verdict.FIT_WITH_CONDITIONS)


@dataclass(frozen=True, slots=True)
class RebuildWork:
    """The work of a recipe, all amounts in the home currency.

    A comeback costs the parts again, `comeback_minutes`, carriage and goodwill; `waiting_day` is
    what a day without the machine costs (rental); `quantity` machines are rebuilt. `consumables`
    are used up on each besides the parts.
    """

    minutes: int
    hourly: Money
    comeback_minutes: int
    comeback_carriage: Money
    comeback_goodwill: Money
    waiting_day: Money
    quantity: int = 1
    consumables: Money | None = None

    def __post_init__(self) -> None:
        if self.quantity < 1 or self.minutes < 0 or self.comeback_minutes < 0:
            raise InputRefusedError(
                "a rebuild takes at least one machine and no negative minutes",
                hint="correct the recipe's minutes and quantity",
            )


@dataclass(frozen=True, slots=True)
class RebuildCost:
    """What all the machines cost; `total` is the sum of the steps."""

    steps: tuple[Step, ...]
    total: Money


def is_option(verdict: Verdict) -> bool:
    """Tell whether a part may be costed at all: only what its checks allow to be fitted."""
    return verdict in ALLOWED


def rebuild_option(
    parts: Money, work: RebuildWork, *, comeback_rate: Fraction, waiting_days: int
) -> RebuildCost:
    """Return the cost of one way to do it; `parts` is the landed cost for all the machines.

    Raises InputRefusedError for a rate outside 0 to 1 or negative days, CurrencyMismatchError.
    """
    _sound(comeback_rate, waiting_days)
    again = comeback_cost(parts, work)
    waiting = work.waiting_day * (waiting_days * work.quantity)
    steps = (
        Step("parts", parts.minor, "landed"),
        Step("labour", labour(work).minor, _how_labour(work.minutes, work)),
        *_consumed(work),
        Step(
            "expected comebacks",
            again.share(comeback_rate).minor,
            f"{per_cent(comeback_rate)} of {again} (the parts again, "
            f"{_how_labour(work.comeback_minutes, work)}, carriage, goodwill)",
        ),
        Step("waiting", waiting.minor, f"{waiting_days} days at {work.waiting_day}{_times(work)}"),
    )
    total = Money(sum(step.amount_minor for step in steps), (parts + waiting).currency)
    return RebuildCost(steps, total)


def _consumed(work: RebuildWork) -> tuple[Step, ...]:
    if not work.consumables:
        return ()
    used = used_up(work)
    return (Step("consumables", used.minor, f"{work.consumables}{_times(work)}"),)


def used_up(work: RebuildWork) -> Money:
    """Return the consumables for all the machines."""
    return (work.consumables or Money.zero(work.hourly.currency)) * work.quantity


def labour(work: RebuildWork) -> Money:
    """Return the labour on all the machines, rounded to the coin for each."""
    return _hours(work, work.minutes) * work.quantity


def comeback_cost(parts: Money, work: RebuildWork) -> Money:
    """Return what it costs when every machine comes back once."""
    once = _hours(work, work.comeback_minutes) + work.comeback_carriage + work.comeback_goodwill
    return parts + once * work.quantity


def expected_comeback(rate: Fraction, cost: Money) -> Fraction:
    """Return the expected cost of comebacks in exact minor units: P × cost."""
    return rate * cost.minor


def break_even_rate(
    parts: Money, work: RebuildWork, *, waiting_days: int, other_total: Money
) -> Fraction | None:
    """Return the comeback rate at which this way costs as much as the other.

    None when it costs more even without a comeback; above 1 it is cheaper at any rate.
    """
    without = rebuild_option(parts, work, comeback_rate=Fraction(0), waiting_days=waiting_days)
    again = comeback_cost(parts, work)
    spare = other_total - without.total
    if spare.minor < 0 or not again:
        return None
    return Fraction(spare.minor, again.minor)


def comeback_prior(grade: str) -> Fraction:
    """Return the comeback rate to assume for a grade ("" when none is set), from the table.

    The rates are common practice without a source: a shop's own record replaces them.
    """
    row = by_key("comeback_priors", "grade").get(grade or "none")
    if row is None:
        raise InputRefusedError(
            f"no comeback rate can be assumed for the grade {grade!r}",
            hint="A, B, C, D or no grade; what is barred is not costed",
        )
    return Fraction(row["rate"])


def comeback_rate_after(prior: Fraction, comebacks: int, fitted: int) -> Fraction:
    """Return the rate to expect once a record exists: the prior as 20 fittings, plus the record.

    The mean of the posterior from Beta(20 × prior, 20 × (1 - prior)), exactly. How much the prior
    weighs is common practice without a source.
    """
    if not 0 <= comebacks <= fitted:
        raise InputRefusedError(
            f"{comebacks} comebacks in {fitted} fittings is not a record",
            hint="give counts with 0 <= comebacks <= fittings",
        )
    return (prior * PRIOR_FITTINGS + comebacks) / (PRIOR_FITTINGS + fitted)


def how_rated(part: str, grade: str, prior: Fraction, record: tuple[int, int]) -> str:
    """Return how the comeback rate of the least proven part was reached, its record with it."""
    graded = f"grade {grade}" if grade else "no grade"
    assumed = f"the comeback rate is that of {part}: {per_cent(prior)} assumed for {graded}"
    comebacks, fitted = record
    if not fitted:
        return f"{assumed}, none has been fitted here yet"
    rate = per_cent(round(comeback_rate_after(prior, comebacks, fitted), 4))
    shown = f"{comebacks} in {fitted} fittings here: {wilson_interval(comebacks, fitted)} (95 %)"
    return f"{assumed}, moved to {rate} by our own record, {shown}"


@dataclass(frozen=True, slots=True)
class RecordSays:
    """Whether comebacks in a record settle that a rate is under the break-even."""

    interval: Interval | None
    decided: bool
    text: str


def what_the_record_says(comebacks: int, fitted: int, break_even: Fraction) -> RecordSays:
    """Compare Wilson's 95 % interval of the record with the break-even comeback rate."""
    limit = float(break_even)
    if fitted == 0:
        return RecordSays(None, False, "none has been fitted: the record does not yet decide")
    interval = wilson_interval(comebacks, fitted)
    record = f"{comebacks} comebacks in {fitted} fittings: {interval} (95 %)"
    if interval.high < limit:
        text = f"{record}, under the break-even of {limit:.1%}"
        return RecordSays(interval, True, text)
    if interval.low > limit:
        return RecordSays(interval, True, f"{record}, over the break-even of {limit:.1%}")
    return RecordSays(
        interval, False, f"{record}; break-even {limit:.1%}: the record does not yet decide"
    )


def _sound(comeback_rate: Fraction, waiting_days: int) -> None:
    if not 0 <= comeback_rate <= 1 or waiting_days < 0:
        raise InputRefusedError(
            "a comeback rate is from 0 to 1 and waiting is not negative",
            hint="write 4 % as 0.04",
        )


def _hours(work: RebuildWork, minutes: int) -> Money:
    return work.hourly.share(Fraction(minutes, 60))


def _how_labour(minutes: int, work: RebuildWork) -> str:
    return f"{minutes} min at {work.hourly} an hour{_times(work)}"


def _times(work: RebuildWork) -> str:
    return f" × {work.quantity} machines" if work.quantity > 1 else ""
