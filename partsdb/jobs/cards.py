"""Everything that is stored about one part, for people to read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from partsdb.jobs.named import part_asked
from partsdb.rules.facts import KitItem
from partsdb.store import catalogue, claims, edges, grades, machines, offers
from partsdb.store.rows import ClaimRow, EdgeRow, OfferRow, PartRow


@dataclass(frozen=True, slots=True)
class ClaimShown:
    """One live claim. `pascals` is None when it is no rating, or one that cannot be read."""

    kind: str
    about: str
    value: str
    basis: str
    evidence: str
    source: str
    pascals: int | None
    made_by: str
    made_at: str
    claim: int = 0


@dataclass(frozen=True, slots=True)
class LinkShown:
    """Another part and how it is linked. `link` says which way ("may be replaced by" …).

    `made_by` and `made_at` are who last said so and when; `decided` tells a person's decision from
    what a list proposes; `onward` are that part's own links outward, one step and no further.
    """

    link: str
    maker: str
    number: str
    state: str
    evidence: str
    conditions: tuple[str, ...]
    source: str
    made_by: str = ""
    made_at: str = ""
    decided: bool = False
    onward: tuple[LinkShown, ...] = ()


@dataclass(frozen=True, slots=True)
class PlaceShown:
    """A position that calls for the part, and its working pressure as written."""

    machine: str
    position: str
    quantity: int
    pressure: str


@dataclass(frozen=True, slots=True)
class PriceShown:
    """What one supplier asks: `price` for `price_per` units, as plain decimal text."""

    supplier: str
    code: str
    price: str
    currency: str
    price_per: int
    pack_units: int
    min_units: int
    lead_days: int | None
    stock: str
    valid_to: str | None


@dataclass(frozen=True, slots=True)
class PartCard:
    """A part with all that is known of it. `contents` is None when a kit's are not stated.

    `asked_as` says whose code it was asked for by, "" where it was by its number.
    """

    maker: str
    number: str
    description: str
    role: str
    weight_g: int | None
    packed_mm: str
    origin: str
    heading: str
    grade: str
    maker_grade: str
    contents: tuple[KitItem, ...] | None
    claims: tuple[ClaimShown, ...]
    links: tuple[LinkShown, ...]
    places: tuple[PlaceShown, ...]
    prices: tuple[PriceShown, ...]
    asked_as: str = ""


def part_card(number: str, maker: str | None, *, as_of: str) -> PartCard:
    """Return the part with all that is stored; raises NotFoundError or AmbiguousError."""
    asked = part_asked(number, maker)
    part = asked.part
    grade = grades.grades_for_parts([part.id])[part.id]
    return PartCard(
        maker=part.maker,
        number=part.number,
        description=part.description,
        role=part.role,
        weight_g=part.weight_g,
        packed_mm=part.packed_mm,
        origin=part.origin,
        heading=part.heading,
        grade=grade.part.grade if grade.part else "",
        maker_grade=grade.maker.grade if grade.maker else "",
        contents=claims.contents_of([part.id])[part.id] if part.contents_stated else None,
        claims=tuple(_claim(row) for row in claims.claims_of([part.id])),
        links=_links(part),
        places=_places(part),
        prices=tuple(_price(offer) for offer in offers.live_offers([part.id], as_of)),
        asked_as=asked.said,
    )


def _claim(row: ClaimRow) -> ClaimShown:
    c = row.claim
    return ClaimShown(c.kind, c.about, c.value, c.basis, c.evidence, c.source, row.pascals,
                      row.made_by, row.made_at, row.id)  # fmt: skip


def _price(o: OfferRow) -> PriceShown:
    price = f"{Decimal(o.price_e4).scaleb(-4):f}"
    short = price[:-2] if price.endswith("00") else price
    return PriceShown(o.supplier, o.code, short, o.currency, o.price_per, o.pack_units,
                      o.min_units, o.lead_days, o.stock, o.valid_to)  # fmt: skip


def _places(part: PartRow) -> tuple[PlaceShown, ...]:
    return tuple(
        PlaceShown(
            place.machine,
            place.demand.position,
            place.quantities[place.part_ids.index(part.id)],
            place.demand.pressure.as_written if place.demand.pressure else "",
        )
        for place in machines.positions_calling_for([part.id])
    )


def _links(part: PartRow) -> tuple[LinkShown, ...]:
    out, back = edges.edges_from([part.id]), edges.edges_into(part.id)
    replaced = edges.supersessions_touching([part.id])
    others = catalogue.part_rows(
        [*(e.fitted_id for e in out), *(e.asked_id for e in back),
         *(i for s in replaced for i in (s.old_id, s.new_id) if i is not None)]
    )  # fmt: skip
    links = []
    for row in replaced:
        is_old = row.old_id == part.id
        other = row.new_id if is_old else row.old_id
        named = others.get(other) if other is not None else None
        links.append(
            LinkShown(
                "superseded by" if is_old else "supersedes",
                named.maker if named else "",
                named.number if named else "ended without a successor",
                row.from_date or "",
                "",
                _serials(row.serial_from, row.serial_to),
                row.source,
            )
        )
    links += _edges(_OUT, out, [others[e.fitted_id] for e in out])
    links += _edges(_BACK, back, [others[e.asked_id] for e in back])
    return tuple(_with_onward(links, part, {row.number: row.id for row in others.values()}))


def _with_onward(links: list[LinkShown], part: PartRow, ids: Mapping[str, int]) -> list[LinkShown]:
    """Return the links outward with where each of them leads on, one step further."""
    outward = [each for each in links if each.link in _OUT.values() and each.number in ids]
    steps = edges.edges_from({ids[each.number] for each in outward})
    parts = catalogue.part_rows({e.fitted_id for e in steps} - {part.id})
    onward: dict[int, list[LinkShown]] = {}
    for step in steps:
        if step.fitted_id in parts:
            further = _edges(_OUT, [step], [parts[step.fitted_id]])
            onward.setdefault(step.asked_id, []).extend(further)
    return [
        replace(each, onward=tuple(onward.get(ids[each.number], ()))) if each in outward else each
        for each in links
    ]


def _serials(first: str, last: str) -> tuple[str, ...]:
    texts = (f"from serial {first}" if first else "", f"up to serial {last}" if last else "")
    return tuple(text for text in texts if text)


# Only an approval may read like one.
_OUT = {
    "accepted": "may be replaced by",
    "proposed": "proposed in its place",
    "rejected": "not to be replaced by",
}
_BACK = {
    "accepted": "may stand in for",
    "proposed": "proposed in place of",
    "rejected": "must not stand in for",
}


def _edges(
    links: Mapping[str, str], rows: Sequence[EdgeRow], others: Iterable[PartRow]
) -> list[LinkShown]:
    return [
        LinkShown(
            links[e.state],
            other.maker,
            other.number,
            e.state,
            e.evidence,
            e.conditions,
            e.source,
            e.made_by,
            e.made_at,
            e.decided,
        )
        for e, other in zip(rows, others, strict=True)
    ]
