"""Stores what lines of a list bring: own parts, claims, edges, offers and readings.

The same for a whole list and for one line that a person decided later: the same rows either way.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from partsdb.jobs.list_compare import RAISED
from partsdb.jobs.listed import ListedOffer
from partsdb.jobs.own_parts import OwnParts
from partsdb.jobs.reading_list import ReadLine, ReadList
from partsdb.matching.readings import MATCHER_VERSION, Evidence, ReadingKind
from partsdb.rules.facts import ClaimKind, EvidenceLevel
from partsdb.store import claims, edges, lists, offers
from partsdb.store.rows import NewClaim, NewEdge, NewOffer, Stamp, SupplierRow
from partsdb.store.rows_lists import NewReading

OWN = (ReadingKind.REPLACEMENT, ReadingKind.NEW_PART)


class LineStore:
    """Lines of one list on their way into the store.

    `held` says by the index of a line why its offer waits for a person; a rating that rose waits
    with it.
    """

    def __init__(
        self,
        read: ReadList,
        supplier: SupplierRow,
        by: Stamp,
        held: Mapping[int, str] | None = None,
    ) -> None:
        self._read, self._supplier, self._by = read, supplier, by
        self._held = held or {}
        self._own = OwnParts(supplier, by)

    def known_parts(self) -> list[int | None]:
        """Return for each line the stored part of the supplier's own that it sells, if any."""
        return self._own.known(self._read.lines)

    def sells_own(self, line: ReadLine) -> bool:
        """Say whether the line sells a part of the supplier's own, by a number of its own."""
        return self._own.sells(line)

    def store(self, line_ids: list[int], list_id: int) -> None:
        """Store what the lines bring; `line_ids` are theirs, in order."""
        part_ids = self._own.store(self._read.lines, list_id)
        self._store_claims(line_ids, part_ids, list_id)
        edges.add_edges(self._edges(line_ids, part_ids, list_id), by=self._by)
        offers.add_offers(self.offers(line_ids, part_ids, list_id), by=self._by)
        lists.add_readings(
            _reading(line, line_id, own_id)
            for line, line_id, own_id in zip(self._read.lines, line_ids, part_ids, strict=True)
        )

    def _store_claims(self, line_ids: list[int], part_ids: list[int | None], list_id: int) -> None:
        """Store what the lines claim of their parts, at the level of the supplier's word."""
        rows = zip(self._read.lines, line_ids, part_ids, strict=True)
        claims.add_claims(
            (
                NewClaim(part_id, claim, line_id, list_id)
                for index, (line, line_id, own_id) in enumerate(rows)
                if (part_id := _sold(line, own_id)) is not None
                for claim in line.claims
                if claim.kind is not ClaimKind.RATING or RAISED not in self._held.get(index, "")
            ),
            by=self._by,
        )

    def _edges(
        self, line_ids: list[int], part_ids: list[int | None], list_id: int
    ) -> list[NewEdge]:
        """Return the supplier's claims that its own parts replace ours: proposed, no approval."""
        rows = zip(self._read.lines, line_ids, part_ids, strict=True)
        return [
            NewEdge(
                asked_id=asked,
                fitted_id=own_id,
                state="proposed",
                evidence=EvidenceLevel.SUPPLIERS_WORD,
                source=f"{self._read.source.file_name}, {line.listed.text.place}",
                line_id=line_id,
                price_list_id=list_id,
            )
            for line, line_id, own_id in rows
            if line.reading.kind is ReadingKind.REPLACEMENT and own_id is not None
            for asked in asked_ids(line)
            if asked != own_id
        ]

    def offers(
        self, line_ids: Sequence[int | None], part_ids: Sequence[int | None], list_id: int | None
    ) -> list[NewOffer]:
        """Return the offers of the lines whose part is certain and whose price is not disputed."""
        return [offer for _, offer in self._offers(line_ids, part_ids, list_id)]

    def planned(self, part_ids: Sequence[int | None]) -> list[tuple[ReadLine, NewOffer]]:
        """Return each line that makes an offer with it, before anything is stored."""
        return self._offers([None] * len(part_ids), part_ids, None)

    def _offers(
        self, line_ids: Sequence[int | None], part_ids: Sequence[int | None], list_id: int | None
    ) -> list[tuple[ReadLine, NewOffer]]:
        rows = zip(self._read.lines, line_ids, part_ids, strict=True)
        return [
            (
                line,
                _new_offer(line.listed.offer)._replace(
                    supplier_id=self._supplier.id,
                    part_id=part_id,
                    code=line.listed.text.code,
                    line_id=line_id,
                    price_list_id=list_id,
                    held=self._held.get(index, ""),
                ),
            )
            for index, (line, line_id, own_id) in enumerate(rows)
            if line.listed.offer and line.offers and (part_id := _sold(line, own_id)) is not None
        ]


def _new_offer(offer: ListedOffer) -> NewOffer:
    """Return what the list asks as an offer of nothing yet; `asdict` would take ten times it."""
    return NewOffer(
        0, 0, offer.price_e4, offer.currency, "", offer.price_per, offer.pack_units,
        offer.min_units, offer.unit, offer.lead_days, offer.stock, offer.valid_from,
        offer.valid_to, offer.breaks,
    )  # fmt: skip


def _sold(line: ReadLine, own_id: int | None) -> int | None:
    """Return the part that the line sells: who replaces our part sells his own, never ours."""
    if line.reading.kind is ReadingKind.OFFER:
        return line.reading.part_id
    return own_id if line.reading.kind in OWN else None


def asked_ids(line: ReadLine) -> tuple[int, ...]:
    """Return the parts that the line claims to replace."""
    return (line.reading.part_id,) if line.reading.part_id is not None else ()


def _reading(line: ReadLine, line_id: int, own_id: int | None) -> NewReading:
    reading = line.reading
    return NewReading(
        line_id=line_id,
        kind=reading.kind.value,
        confidence=reading.confidence,
        matcher_version=MATCHER_VERSION,
        part_id=reading.part_id,
        own_part_id=own_id,
        damage=reading.damage,
        evidence=(
            {
                "evidence": _plain(reading.evidence),
                "candidates": [
                    {"part_id": c.part_id, "score": c.score, "evidence": _plain(c.evidence)}
                    for c in reading.candidates
                ],
            },
        ),
    )


def _plain(evidence: Sequence[Evidence]) -> list[dict[str, str]]:
    """Return evidence as plain data; `asdict` would take a tenth of the time of a whole list."""
    return [{"name": e.name, "weighs": e.weighs, "text": e.text} for e in evidence]
