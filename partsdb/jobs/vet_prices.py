"""Compares the prices of a list with what others ask for the same and for equivalent parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from partsdb.jobs.landing import home_currency
from partsdb.jobs.vet_lines import Judged
from partsdb.rules.outliers import PriceSign, judge_price, median_price
from partsdb.rules.verdict import Check, Outcome, Verdict, worst_verdict
from partsdb.store import edges, offers, terms

# Common practice, no source: with too few quotes for a spread, less than half of the cheapest other
# one is no bargain but a question.
_FEWEST_OTHERS = 2
_FAR_BELOW = Fraction(1, 2)


def with_prices(
    lines: Sequence[Judged], as_of: str, supplier_id: int | None = None
) -> list[Judged]:
    """Return the lines, those priced far below the others with a check that says so.

    Quotes are those of the list itself and of other suppliers for the part and for what may stand
    in for it, each as the price of one unit in the home currency at the plain rate of the day.
    What `supplier_id`, the list's own sender, asked before is no other quote.
    """
    to_home = _Exchange(as_of)
    groups = [line.group for line in lines if line.group]
    quotes = _stored_quotes(groups, to_home, supplier_id)
    for line in lines:
        price = _unit_price(line, to_home)
        if line.group is not None and price is not None:
            quotes.setdefault(line.group, []).append(price)
    return [_checked(line, _unit_price(line, to_home), quotes) for line in lines]


def price_ratios(
    lines: Sequence[Judged], as_of: str, supplier_id: int | None = None
) -> list[float | None]:
    """Return each line's price against the median of what others ask; None where nobody does."""
    to_home = _Exchange(as_of)
    groups = [line.group for line in lines if line.group]
    quotes = _stored_quotes(groups, to_home, supplier_id)
    found: list[float | None] = []
    for line in lines:
        price, others = _unit_price(line, to_home), quotes.get(line.group or 0)
        found.append(float(price) / median_price(others) if price and others else None)
    return found


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
    part_ids: Sequence[int], to_home: _Exchange, without: int | None
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


def _checked(line: Judged, price: Fraction | None, quotes: dict[int, list[Fraction]]) -> Judged:
    if price is None or line.group is None:
        return line
    found = judge_price(price, quotes[line.group])
    said = (
        found.text if found.sign is PriceSign.TOO_CHEAP else _far_below(price, quotes[line.group])
    )
    if not said:
        return line
    text = f"{said}: demand the rating certificate before buying"
    check = Check("price", Outcome.NOT_SHOWN, text, code="PRICE_LOW")
    verdict = worst_verdict([line.verdict or Verdict.ASK_FIRST, Verdict.ASK_FIRST])
    return replace(line, verdict=verdict, checks=(check, *line.checks))


def _far_below(price: Fraction, quotes: Sequence[Fraction]) -> str:
    """Return in words that the price lies far below the few other quotes, "" when it does not."""
    others = sorted(quotes)
    others.remove(price)
    if len(others) < _FEWEST_OTHERS or price >= others[0] * _FAR_BELOW:
        return ""
    return f"{float(price / others[0]):.2f} times the cheapest of {len(others)} other quotes"
