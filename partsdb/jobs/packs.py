"""What a price is for where packs are spoken of: one piece, the pack, or nobody can tell.

A unit of sale that is a package (UN/ECE Recommendation 21) has a price for the package, and what it
holds must be said. A pack in the description of an article that is none here is asked about
(handbook 8, defects 11 and 25); "pack of 2" of an article that is a pack of two is the article.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from importers.rows import Profile
from partsdb.errors import AmbiguousError, NotFoundError
from partsdb.jobs.listed import (
    PACKAGE,
    LayoutOf,
    ListedLine,
    ListedOffer,
    is_per_pack,
    meant_unit,
)
from partsdb.matching.readings import Reading, ReadingKind
from partsdb.rules.descriptions import pack_units_of
from partsdb.rules.unit_codes import unit_code
from partsdb.store import catalogue


def with_packs(
    listed: Sequence[ListedLine], readings: Sequence[Reading], profiles: Sequence[Profile]
) -> tuple[list[ListedLine], dict[int, str]]:
    """Return the lines with the price basis that their packs give, and why others are asked about.

    The reasons are by the index of the line; such a line makes no offer.
    """
    above = LayoutOf(profiles)
    spoken = {i: line for i, line in enumerate(listed) if _speaks_of_packs(line, above)}
    ids = {readings[i].part_id for i in spoken if readings[i].kind is ReadingKind.OFFER} - {None}
    parts = catalogue.part_rows(sorted(part for part in ids if part is not None))
    lines, doubts = list(listed), {}
    for index, line in spoken.items():
        reading = readings[index]
        part = parts.get(reading.part_id or 0) if reading.kind is ReadingKind.OFFER else None
        text = part.description if part else line.text.description
        found = _Pack(line, above(line.row), pack_units_of(text) or 1).settled()
        if isinstance(found, str):
            doubts[index] = found
        else:
            lines[index] = replace(line, offer=found)
    return lines, doubts


def _speaks_of_packs(line: ListedLine, above: LayoutOf) -> bool:
    if line.offer is None:
        return False
    return _is_package(line, above(line.row)) or (pack_units_of(line.text.description) or 1) > 1


def _is_package(line: ListedLine, profile: Profile) -> bool:
    """Say whether the price is for a package: by its basis or by the unit of sale."""
    if is_per_pack(line.row.fields.get("price_per", "")):
        return True
    unit = line.row.fields.get("unit", "")
    try:
        return bool(unit.strip()) and unit_code(meant_unit(unit, profile)).kind == PACKAGE
    except (AmbiguousError, NotFoundError):
        return False


class _Pack:
    """One line that speaks of packs; `article` is how many pieces our own part is."""

    def __init__(self, line: ListedLine, profile: Profile, article: int) -> None:
        self._line, self._profile, self._article = line, profile, article
        self._said = pack_units_of(line.text.description)
        column = line.row.fields.get("pack", "")
        self._column = line.offer.pack_units if line.offer and column.strip() else None

    def settled(self) -> ListedOffer | str:
        """Return the offer with what its price is for, or why that is to be asked."""
        offer = self._line.offer
        if offer is None:
            return "no price"
        if self._said and self._column and len({self._said, self._column} - {1}) > 1:
            return (
                f"the description says a pack of {self._said}, the column {self._column}: "
                "ask the supplier"
            )
        if _is_package(self._line, self._profile):
            return self._package(offer)
        if self._said in (self._article, offer.price_per, self._column):
            return offer
        return (
            f"the description says a pack of {self._said}: is the price for one or for all? "
            "ask the supplier"
        )

    def _package(self, offer: ListedOffer) -> ListedOffer | str:
        """Return the offer of a package as one of the pieces that it holds."""
        content = self._column or self._said
        if content is None and self._article == 1:
            return (
                f"{self._named(offer)} is a package and nobody says what it holds: ask the supplier"
            )
        if content in (None, self._article):
            return replace(offer, pack_units=1)  # the package is the article
        if offer.price_per != 1:
            return (
                f"the price is per {offer.price_per} and {self._named(offer)} a package of "
                f"{content}: {offer.price_per} pieces or packages? ask the supplier"
            )
        return replace(
            offer,
            price_per=content,
            pack_units=content,
            min_units=offer.min_units * content,
            breaks=tuple((units * content, price) for units, price in offer.breaks),
        )

    def _named(self, offer: ListedOffer) -> str:
        basis = self._line.row.fields.get("price_per", "").strip()
        if is_per_pack(basis):
            return f"the price basis {basis!r}"
        return f"the unit {offer.unit!r}"
