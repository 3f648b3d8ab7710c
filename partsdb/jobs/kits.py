"""What a kit holds, as stated."""

from __future__ import annotations

from dataclasses import dataclass

from partsdb.jobs.named import part_asked
from partsdb.rules.facts import KitItem
from partsdb.store import claims


@dataclass(frozen=True, slots=True)
class KitContents:
    """A kit and its items; None: nobody stated them. `said`: by whose code it was asked for."""

    maker: str
    number: str
    items: tuple[KitItem, ...] | None
    said: str = ""


def kit_contents(number: str, maker: str | None) -> KitContents:
    """Return what the kit holds; raises NotFoundError or AmbiguousError."""
    asked = part_asked(number, maker)
    part = asked.part
    items = claims.contents_of([part.id])[part.id] if part.contents_stated else None
    return KitContents(part.maker, part.number, items, asked.said)
