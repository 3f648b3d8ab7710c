"""What others ask for the parts of a list, on a day, each price for one unit in one currency."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from partsdb.jobs.landing import home_currency
from partsdb.jobs.vet_judged import Judged
from partsdb.rules.outliers import median_price
from partsdb.store import edges, offers, terms


class Market:
    """The prices of the list's own lines, and what others quote for the same and equivalent parts.

    What `sender`, the list's own supplier, asked before is no other quote. A price in a currency
    without a rate of the day is not compared.
    """

    def __init__(self, lines: Sequence[Judged], as_of: str, sender: int | None = None) -> None:
        to_home = _Exchange(as_of)
        self.prices = [_unit_price(line, to_home) for line in lines]
        groups = {part_id for line in lines for part_id in groups_of(line)}
        self.others = _stored_quotes(groups, to_home, sender)
        self.quotes = {part_id: [*each] for part_id, each in self.others.items()}
        for line, price in zip(lines, self.prices, strict=True):
            if line.group is not None and price is not None:
                self.quotes.setdefault(line.group, []).append(price)
        self.ratios = [
            self._ratio(line, price) for line, price in zip(lines, self.prices, strict=True)
        ]

    def _ratio(self, line: Judged, price: Fraction | None) -> float | None:
        """Return the price against the median of what others ask; None where nobody does."""
        others = self.others.get(line.group or 0)
        return float(price) / median_price(others) if price and others else None


def groups_of(line: Judged) -> tuple[int, ...]:
    """Return the parts whose prices the line's is held against."""
    return (line.group,) if line.group is not None else line.may_be


class _Exchange:
    """Turns foreign prices into the home currency at the last rate on or before the day."""

    def __init__(self, as_of: str) -> None:
        self.as_of, self._rates = as_of, dict[str, Fraction | None]()
        self._home = home_currency()

    def __call__(self, price: Fraction, currency: str) -> Fraction | None:
        foreign, home = self._per_eur(currency), self._per_eur(self._home)
        return price * home / foreign if foreign and home else None

    def _per_eur(self, currency: str) -> Fraction | None:
        if currency not in self._rates:
            row = terms.fx_rates(currency, self.as_of)
            self._rates[currency] = Fraction(row.per_eur) if row else None
        return self._rates[currency]


def _unit_price(line: Judged, to_home: _Exchange) -> Fraction | None:
    offer = line.line.listed.offer
    return to_home(Fraction(offer.price_e4, offer.price_per), offer.currency) if offer else None


def _stored_quotes(
    part_ids: Iterable[int], to_home: _Exchange, without: int | None
) -> dict[int, list[Fraction]]:
    """Return the live prices of each part and of the parts accepted for it, of other suppliers."""
    stand_ins: dict[int, set[int]] = {part_id: {part_id} for part_id in part_ids}
    for edge in edges.edges_from(stand_ins):
        if edge.state == "accepted":
            stand_ins[edge.asked_id].add(edge.fitted_id)
    wanted = {part_id for group in stand_ins.values() for part_id in group}
    prices: dict[int, list[Fraction]] = {}
    for offer in offers.live_offers(wanted, to_home.as_of):
        if offer.supplier_id == without:
            continue
        price = to_home(Fraction(offer.price_e4, offer.price_per), offer.currency)
        if price is not None:
            prices.setdefault(offer.part_id, []).append(price)
    return {
        group: [price for part_id in sorted(members) for price in prices.get(part_id, [])]
        for group, members in stand_ins.items()
    }
