"""What offers cost at our door: terms, exchange and duty rates of the day, put to the rules."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from partsdb.errors import PartsdbError
from partsdb.jobs import settings
from partsdb.jobs.aged_grades import cutoff, has_aged
from partsdb.jobs.answers import OfferAnswer
from partsdb.jobs.delivery import here_on
from partsdb.jobs.seller_terms import LineTerms, line_terms, order_terms
from partsdb.rules import fx
from partsdb.rules.costing import CustomsRules, per_cent
from partsdb.rules.landed import LandedLine, LandedOrder, land_order
from partsdb.rules.money import plain_decimal
from partsdb.rules.sellers import Seller
from partsdb.store import terms, terms_more
from partsdb.store.grades import grades_for_suppliers
from partsdb.store.rows import DutyRow, OfferRow, PartRow, Terms
from partsdb.store.rows_terms import CustomsRateRow


@dataclass(frozen=True, slots=True)
class Need:
    """So many units of a part from one offer; `as_ordered`: just these, in whole packs."""

    part: PartRow
    offer: OfferRow
    units: int
    as_ordered: bool = False


@dataclass(frozen=True, slots=True)
class Side:
    """A supplier as the rules know him on a day, and his terms as stored (None: none are).

    `customs_rate` is customs' own rate of his currency, None where the published one counts.
    """

    seller: Seller
    stored: Terms | None
    lines: LineTerms
    customs_rate: CustomsRateRow | None = None


def home_currency() -> str:
    """Return the shop's own currency, a setting."""
    return settings.setting("home_currency")


def customs_basis() -> str:
    """Return the customs basis of the shop's country, a setting: CIF (EU, UK) or FOB (US)."""
    return settings.setting("customs_basis")


def customs_rules() -> CustomsRules:
    """Return how the shop's country taxes goods: VAT is a cost only where it is not recovered."""
    return CustomsRules(
        basis=customs_basis(),
        vat_rate=settings.share("vat_rate"),
        vat_recoverable=settings.setting("vat_recoverable") == "yes",
        whole_minor=int(settings.setting("customs_whole")),
    )


def side_of(offer: OfferRow, as_of: str) -> Side:
    """Return who sells the offer, under which terms and rates; raises PartsdbError without any."""
    stored = terms.terms_as_of(offer.supplier_id, as_of)
    home = home_currency()
    on_orders = order_terms(stored, offer.supplier_id, offer.currency, as_of)
    rates = _rates(offer.currency, home, on_orders.spread, as_of)
    customs = terms_more.customs_rate(offer.currency, home, as_of)
    if customs is not None:
        rates = replace(rates, customs=plain_decimal(customs.rate))
    seller = Seller(offer.supplier, on_orders, rates, home, customs_rules())
    return Side(seller, stored, line_terms(stored, offer.supplier_id, as_of), customs)


@dataclass(frozen=True, slots=True)
class _Duty:
    """A duty rate, None where none is in force; `why_none` says which one was, and until when."""

    rate: Fraction | None
    why_none: str = ""


class Landings:
    """Lands orders for a day; whose terms and rates they are is looked up once."""

    def __init__(self, as_of: str) -> None:
        self._as_of = as_of
        self._sides: dict[tuple[int, str], Side] = {}
        self._duties: dict[tuple[int, int], _Duty] = {}
        self._leads: dict[int, int | None] = {}

    @property
    def as_of(self) -> str:
        """The ISO day for which orders are landed."""
        return self._as_of

    def side(self, offer: OfferRow) -> Side:
        """Return who sells the offer; raises PartsdbError when a rate is missing."""
        key = (offer.supplier_id, offer.currency)
        if key not in self._sides:
            self._sides[key] = side_of(offer, self._as_of)
        return self._sides[key]

    def line(self, need: Need) -> LandedLine:
        """Return the need as the rules land it."""
        side = self.side(need.offer)
        key = (need.part.id, need.offer.supplier_id)
        if key not in self._duties:
            self._duties[key] = _duty(need.part, side.stored, self._as_of)
        duty = self._duties[key]
        line = side.lines.landed(need.part, need.offer, need.units, duty.rate)
        return replace(line, as_ordered=need.as_ordered, no_duty_rate=duty.why_none)

    def lead_days(self, offer: OfferRow) -> int | None:
        """Return the offer's lead time, else that of the supplier's terms; None: neither says."""
        if offer.lead_days is not None:
            return offer.lead_days
        if offer.supplier_id not in self._leads:
            stored = terms.terms_as_of(offer.supplier_id, self._as_of)
            self._leads[offer.supplier_id] = stored.lead_days if stored else None
        return self._leads[offer.supplier_id]

    def here_on(self, offer: OfferRow) -> str:
        """Return the ISO day on which what is ordered now is here, "" when it is not known."""
        return here_on(self._as_of, self.lead_days(offer))

    def land(self, needs: Sequence[Need]) -> LandedOrder:
        """Return one order from one supplier, landed; see `land`."""
        seller = self.side(needs[0].offer).seller
        return land_from(seller, [self.line(need) for need in needs])


def land(needs: Sequence[Need], as_of: str) -> LandedOrder:
    """Return the landed cost of one order from one supplier in the home currency.

    All needs are offers of the same supplier in one currency. Raises PartsdbError when a rate is
    missing: a price that cannot be landed is never shown as if it were.
    """
    return Landings(as_of).land(needs)


def land_from(seller: Seller, lines: Sequence[LandedLine]) -> LandedOrder:
    """Return the landed cost of the lines as one order from the seller."""
    return land_order(lines, seller.terms, seller.rates, seller.home, seller.customs)


def _duty(part: PartRow, stored: Terms | None, as_of: str) -> _Duty:
    """Return the stored duty rate of the part's own heading and origin, else of the supplier's."""
    heading = part.heading or (stored.duty_heading if stored else "")
    origin = part.origin or (stored.origin if stored else "")
    if not heading:
        return _Duty(None)
    if row := terms.duty_rate(heading, origin, as_of):
        return _Duty(Fraction(row.rate))
    ended = terms.ended_duty_rate(heading, origin, as_of)
    return _Duty(None, _said_ended(ended) if ended else "")


def _said_ended(row: DutyRow) -> str:
    country = f" from {row.origin}" if row.origin else ""
    rate = per_cent(Fraction(row.rate))
    return f"the rate of {rate} for {row.heading}{country} ended on {row.valid_to}: set the new one"


def _rates(currency: str, home: str, spread: Fraction, as_of: str) -> fx.Rates:
    day = dt.date.fromisoformat(as_of)
    if currency == home:
        return fx.same_currency(day)
    history = {code: _published(code, as_of) for code in (currency, home) if code != fx.BASE}
    return fx.supplier_rates(
        fx.rate_on(history, currency, day), fx.rate_on(history, home, day), spread
    )


def _published(currency: str, as_of: str) -> list[tuple[dt.date, Fraction]]:
    row = terms.fx_rates(currency, as_of)
    return [(dt.date.fromisoformat(row.date), Fraction(row.per_eur))] if row else []


def offer_answers(
    part: PartRow, offers: Sequence[OfferRow], units: int, as_of: str
) -> tuple[OfferAnswer, ...]:
    """Return the offers landed for `units` of the part, each an order of its own, cheapest first.

    An offer that cannot be landed comes last, its `note` saying why.
    """
    oldest = cutoff()
    stored = grades_for_suppliers({offer.supplier_id for offer in offers})
    graded = {i: row.grade for i, row in stored.items() if not has_aged(row, oldest)}
    landings = Landings(as_of)
    answers = [
        _answer(
            Need(part, offer, units),
            landings,
            graded.get(offer.supplier_id, ""),
        )
        for offer in offers
    ]
    return tuple(sorted(answers, key=_cheapest_first))


def _cheapest_first(answer: OfferAnswer) -> tuple[bool, bool, int, str, str]:
    return (
        answer.grade == "barred",
        answer.landed_minor is None,
        answer.landed_minor or 0,
        answer.supplier,
        answer.code,
    )


def _answer(need: Need, landings: Landings, grade: str) -> OfferAnswer:
    offer = need.offer
    landed_minor, note, units = None, "", need.units
    try:
        order = landings.land([need])
    except PartsdbError as refusal:
        note = refusal.message
    else:
        landed_minor, units = order.total.minor, order.purchases[0].units
        note = "; ".join((*order.notes, *(f"not counted: {gap}" for gap in order.not_counted)))
    return OfferAnswer(
        supplier=offer.supplier,
        code=offer.code,
        landed_minor=landed_minor,
        currency=home_currency(),
        lead_days=landings.lead_days(offer),
        stock=offer.stock,
        units=units,
        grade=grade,
        note=note,
        here_on=landings.here_on(offer),
        stated_on=offer.stated_on,
        valid_to=offer.valid_to or "",
    )


def lead_days(offer: OfferRow, as_of: str) -> int | None:
    """Return the offer's lead time, else that of the supplier's terms; None when neither says."""
    return Landings(as_of).lead_days(offer)
