"""When a thing is here, how long its price holds, and whether the stated stock goes round."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from partsdb.rules.stock import stated_stock
from partsdb.store.rows import OfferRow, PartRow


def here_on(as_of: str, days: int | None) -> str:
    """Return the ISO day on which what is ordered on `as_of` is here, "" when it is not known."""
    if days is None:
        return ""
    return (dt.date.fromisoformat(as_of) + dt.timedelta(days=days)).isoformat()


def delivery_notes(part: PartRow, offer: OfferRow, units: int) -> Iterator[str]:
    """Yield what to know of an order: stock that falls short of it, a price that ends."""
    stock = stated_stock(offer.stock)
    if stock and stock < units:
        yield (
            f"{offer.supplier} stated {stock} of {part.number} in stock on {offer.stated_on}: "
            f"{units} may not all come in the time stated"
        )
    if offer.valid_to:
        yield f"{offer.supplier}'s price of {part.number} holds until {offer.valid_to}"
