"""One code on several rows of a list: another price is disputed, the same one is stored once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Protocol

from partsdb.jobs.listed import ListedLine, ListedOffer
from partsdb.matching.readings import Reading
from partsdb.rules.numbers import number_identity

_NAMED = 8


class Repeating(Protocol):
    """A row that may say again what an earlier one said."""

    @property
    def listed(self) -> ListedLine: ...

    @property
    def repeats(self) -> str: ...


def twins_of(listed: Sequence[ListedLine]) -> dict[int, str]:
    """Return for each row whose code stands elsewhere with another price where that is."""
    by_code: dict[str, list[int]] = {}
    for index, line in enumerate(listed):
        if line.offer and (key := number_identity(line.text.code)):
            by_code.setdefault(key, []).append(index)
    twins = {}
    for indices in by_code.values():
        prices = Counter(_unit_price(listed[index]) for index in indices)
        if len(prices) > 1:
            for index in indices:
                other = next(
                    i for i in indices if _unit_price(listed[i]) != _unit_price(listed[index])
                )
                twins[index] = listed[other].row.place()
    return twins


def _unit_price(line: ListedLine) -> tuple[int, str]:
    offer = line.offer
    if offer is None:
        return 0, ""
    return offer.price_e4 * 1_000_000 // offer.price_per, offer.currency


def repeats_of(listed: Sequence[ListedLine], readings: Sequence[Reading]) -> dict[int, str]:
    """Return for each row that offers an article again, at the same price, where it stood first.

    Only the same code and part, pack, minimum, price breaks and validity make it the same offer.
    """
    first: dict[tuple[object, ...], int] = {}
    repeats = {}
    for index, (line, reading) in enumerate(zip(listed, readings, strict=True)):
        if line.offer and number_identity(line.text.code):
            earlier = first.setdefault(_offered(line, line.offer, reading), index)
            if earlier != index:
                repeats[index] = listed[earlier].row.place()
    return repeats


def _offered(line: ListedLine, offer: ListedOffer, reading: Reading) -> tuple[object, ...]:
    text = line.text
    article = (number_identity(text.code), text.maker, number_identity(text.maker_number))
    # Another stock or lead time is no other price: the first row counts.
    plain = replace(
        offer, price_e4=0, price_per=1, unit=offer.unit.upper(), stock="", lead_days=None
    )
    return article, reading.kind, reading.part_id, _unit_price(line), plain


def repeats_said(lines: Iterable[Repeating]) -> tuple[str, ...]:
    """Return the sentence that names the rows which are not stored a second time."""
    found = [
        f"{line.listed.row.place()} ({line.listed.text.code}, as {line.repeats})"
        for line in lines
        if line.repeats
    ]
    if not found:
        return ()
    what = "row offers" if len(found) == 1 else "rows offer"
    named = ", ".join(found[:_NAMED]) + (f" and {len(found) - _NAMED} more" * (len(found) > _NAMED))
    return (f"{len(found)} {what} an article again at the same price, stored once: {named}",)
