"""What a kit holds, as stated."""

from __future__ import annotations

from dataclasses import dataclass

from partsdb.jobs.named import the_part
from partsdb.rules.facts import KitItem
from partsdb.store import claims


@dataclass(frozen=True, slots=True)
class KitContents:
    """A kit and its items; None: nobody stated them."""

    maker: str
    number: str
    items: tuple[KitItem, ...] | None


def kit_contents(number: str, maker: str | None) -> KitContents:
    """Return what the kit holds; raises NotFoundError or AmbiguousError."""
    part = the_part(number, maker)
    items = claims.contents_of([part.id])[part.id] if part.contents_stated else None
    return KitContents(part.maker, part.number, items)
