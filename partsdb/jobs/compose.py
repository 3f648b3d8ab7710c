"""Puts a kit together from loose parts and partial kits, at the least landed cost."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from partsdb.errors import PartsdbError
from partsdb.jobs.choices import Choice
from partsdb.jobs.landing import Landings, Need, Side
from partsdb.jobs.quiet import without_noise
from partsdb.jobs.weigh import failed_here, grades_of, supplier_grade
from partsdb.rules.basket_orders import basket_offer, basket_supplier, lowest_duty
from partsdb.rules.certificates import on_day
from partsdb.rules.cover import CoverOffer, CoverProblem, solve_cover
from partsdb.rules.facts import KitItem, PartFacts, PositionDemand, StandsIn
from partsdb.rules.grading import BARRED
from partsdb.rules.kits import sides_of
from partsdb.rules.landed import LandedLine
from partsdb.rules.piece_fit import judge_piece
from partsdb.rules.rebuild import ALLOWED
from partsdb.rules.roles import role_named
from partsdb.rules.verdict import GRAVITY, VERDICT_RANK, Outcome, Verdict
from partsdb.store import catalogue
from partsdb.store.claims import part_facts
from partsdb.store.offers import live_offers
from partsdb.store.rows import OfferRow, PartRow, PositionRow

_PASSED = (Outcome.MEETS, Outcome.MEETS_WITH_CONDITIONS)
_REUSABLE = "buy or reuse"


@dataclass(frozen=True, slots=True)
class Wish:
    """What is to be put together: the kit, where it goes, how many, by when (days, None: open)."""

    kit: PartFacts
    positions: tuple[PositionRow, ...]
    quantity: int
    as_of: str
    days: int | None = None


@dataclass(frozen=True, slots=True)
class Piece:
    """A part that may stand for items of the kit: how many of each (by name), and on what terms."""

    part: PartRow
    brings: Mapping[str, int]
    verdict: Verdict
    conditions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Composition:
    """What is bought for a kit (piece, offer, packs), or what is missing and why."""

    landings: Landings
    chosen: tuple[tuple[Piece, OfferRow, int], ...] = ()
    missing: tuple[str, ...] = ()
    reuse: tuple[str, ...] = ()

    @property
    def conditions(self) -> tuple[str, ...]:
        """What must be looked at: of each piece, of all of them together, and what is reused."""
        each = dict.fromkeys(text for piece, *_ in self.chosen for text in piece.conditions)
        return (*each, *_together(self.chosen), *self.reuse)


@dataclass(slots=True)
class _Market:
    """The pieces with their offers, and per item why no part may stand for it."""

    landings: Landings
    pieces: list[Piece] = field(default_factory=list)
    sales: list[tuple[Piece, OfferRow, Side, LandedLine]] = field(default_factory=list)
    why_not: dict[str, str] = field(default_factory=dict)


def composition(
    wish: Wish, choices: Sequence[Choice], landings: Landings | None = None
) -> Composition | None:
    """Return the cheapest way to put the kit together, or what is not to be had and why.

    `choices` are what leads from the kit: partial kits among them count, and a person's decision
    about a loose part for the kit. None where the kit's contents are not stated.
    """
    if not wish.kit.contents or not wish.positions:
        return None
    items = _items(wish.kit.contents)
    market = _Market(landings or Landings(wish.as_of))
    _gather(market, wish, items, choices)
    brought = {name for piece, *_ in market.sales for name, count in piece.brings.items() if count}
    reused = [n for n, i in items.items() if n not in brought and _may_be_reused(i)]
    wanted = {n: i.quantity * wish.quantity for n, i in items.items() if n not in reused}
    missing = tuple(
        f"{name} x{count}: {market.why_not.get(name) or _nobody(items[name])}"
        for name, count in wanted.items()
        if name not in brought
    )
    reuse = tuple(f"reuse the old {name} if it is sound" for name in reused)
    if missing:
        return Composition(market.landings, missing=missing, reuse=reuse)
    return _bought(wanted, market, reuse)


def _items(contents: Sequence[KitItem]) -> dict[str, KitItem]:
    """Return the items by name; those that nothing tells apart are one item, counted together."""
    found: dict[tuple[object, ...], KitItem] = {}
    for item in contents:
        key = (item.role, sides_of(item.item), item.size, item.material)
        known = found.get(key)
        count = max(item.quantity, 1) + (known.quantity if known else 0)
        found[key] = replace(known or item, quantity=count)
    named: dict[str, KitItem] = {}
    for item in found.values():
        name = item.item if item.item not in named else f"{item.item}, {item.material} {item.size}"
        named[name] = item
    return named


def _may_be_reused(item: KitItem) -> bool:
    return role_named(item.role).when_missing == _REUSABLE and item.kind != "pressure boundary"


def _nobody(item: KitItem) -> str:
    return f"no loose {item.role} that may be fitted is on offer"


def _gather(
    market: _Market, wish: Wish, items: Mapping[str, KitItem], choices: Sequence[Choice]
) -> None:
    market.pieces += _partial_kits(items, choices)
    decided = {c.part.id: c.edges[0] for c in choices if len(c.edges) == 1}
    known = {piece.part.id for piece in market.pieces}
    roles = {item.role for item in items.values()}
    loose = [part for part in catalogue.parts_of_role(roles) if part.id not in known]
    offers: dict[int, list[OfferRow]] = {}
    for offer in live_offers(
        [p.id for p in (*loose, *(m.part for m in market.pieces))], wish.as_of
    ):
        if _is_sold(offer, wish, market.landings):
            offers.setdefault(offer.part_id, []).append(offer)
    loose = [part for part in loose if part.id in offers]
    _judge_loose(wish, items, loose, decided, market)
    for piece in market.pieces:
        market.sales += _sales(piece, offers.get(piece.part.id, ()), market.landings)


def _is_sold(offer: OfferRow, wish: Wish, landings: Landings) -> bool:
    grade = supplier_grade(offer.supplier_id, offer.supplier)
    if grade and grade.grade == BARRED:
        return False
    days = landings.lead_days(offer)
    return wish.days is None or (days is not None and days <= wish.days)


def _partial_kits(items: Mapping[str, KitItem], choices: Sequence[Choice]) -> Iterator[Piece]:
    """Yield the kits that pass every check but that of their contents, and lack something."""
    for choice in choices:
        contents = choice.facts.contents
        if not contents or not choice.weighed.missing:
            continue
        rest = [check for check in choice.weighed.checks if check.check != "contents"]
        if all(check.outcome in _PASSED for check in rest):
            conditions = tuple(dict.fromkeys(c for check in rest for c in check.conditions))
            verdict = Verdict.FIT_WITH_CONDITIONS if conditions else Verdict.FIT
            yield Piece(choice.part, _brought(items, contents), verdict, conditions)


def _brought(items: Mapping[str, KitItem], contents: Sequence[KitItem]) -> dict[str, int]:
    """Return how many of each item a kit brings: pieces of its role and side."""
    brought: dict[str, int] = {}
    for name, item in items.items():
        like = [
            c for c in contents if c.role == item.role and sides_of(c.item) == sides_of(item.item)
        ]
        same = [c for c in like if not (c.size and item.size) or c.size == item.size]
        if same:
            brought[name] = sum(max(c.quantity, 1) for c in same)
    return brought


def _judge_loose(
    wish: Wish,
    items: Mapping[str, KitItem],
    loose: Sequence[PartRow],
    decided: Mapping[int, StandsIn],
    market: _Market,
) -> None:
    known = part_facts([part.id for part in loose])
    facts = {i: on_day(part, wish.as_of).part for i, part in known.items()}
    grades = grades_of(loose)
    failed = failed_here(facts)
    nearest: dict[str, int] = {}
    for part in loose:
        grade = grades[part.id]
        if part.id in failed or (grade and grade.grade == BARRED):
            continue
        for name, item in items.items():
            if item.role != part.role:
                continue
            edge = decided.get(part.id)
            verdict, conditions, why = _piece_in_all(item, facts[part.id], wish, edge)
            if verdict in ALLOWED:
                market.pieces.append(Piece(part, {name: 1}, verdict, conditions))
                break
            if VERDICT_RANK[verdict] < nearest.get(name, len(VERDICT_RANK)):
                nearest[name] = VERDICT_RANK[verdict]
                market.why_not[name] = f"{part.maker} {part.number}: {why}"


def _piece_in_all(
    item: KitItem, part: PartFacts, wish: Wish, edge: StandsIn | None
) -> tuple[Verdict, tuple[str, ...], str]:
    """Return the worst verdict of the piece in all the places, its conditions and worst reason."""
    demands: list[PositionDemand] = [row.demand for row in wish.positions]
    judged = [judge_piece(item, part, wish.kit, demand, edge) for demand in demands]
    worst = max(judged, key=lambda each: VERDICT_RANK[each.verdict])
    # Of equally grave reasons the one that says whether it is the piece at all comes first.
    reason = max(
        worst.checks, key=lambda check: (GRAVITY[check.outcome], check.check == "equivalence")
    )
    conditions = tuple(dict.fromkeys(text for each in judged for text in each.conditions))
    return worst.verdict, conditions, reason.text


def _sales(
    piece: Piece, offers: Sequence[OfferRow], landings: Landings
) -> Iterator[tuple[Piece, OfferRow, Side, LandedLine]]:
    for offer in offers:
        try:
            side = landings.side(offer)
            line = landings.line(Need(piece.part, offer, 1))
        except PartsdbError:
            continue  # no rate or no terms: it cannot be costed, and a wrong cost is never shown
        yield piece, offer, side, line


def _bought(wanted: Mapping[str, int], market: _Market, reuse: tuple[str, ...]) -> Composition:
    by_seller: dict[str, tuple[Side, list[LandedLine]]] = {}
    for _, _, side, line in market.sales:
        by_seller.setdefault(side.seller.name, (side, []))[1].append(line)
    lowest = {name: lowest_duty(lines) for name, (_, lines) in by_seller.items()}
    offers = tuple(
        CoverOffer(
            basket_offer(
                f"{offer.supplier} {offer.code}", side.seller, line, lowest[side.seller.name]
            ),
            piece.brings,
        )
        for piece, offer, side, line in market.sales
    )
    sellers = tuple(basket_supplier(side.seller, lines) for side, lines in by_seller.values())
    with without_noise():
        found = solve_cover(CoverProblem(wanted, offers, sellers))
    if found is None:
        missing = ("no order that a supplier takes covers it",)
        return Composition(market.landings, missing=missing, reuse=reuse)
    chosen = tuple(
        (*sale[:2], packs) for sale, packs in zip(market.sales, found.packs, strict=True) if packs
    )
    return Composition(market.landings, chosen, reuse=reuse)


def _together(chosen: Sequence[tuple[Piece, OfferRow, int]]) -> tuple[str, ...]:
    """Return what must be looked at because the pieces did not come as one kit."""
    pairs = [{name for name, count in piece.brings.items() if count} for piece, *_ in chosen]
    held = [{n.lower() for n in names} for names in pairs]
    split = any("ball" in names and "seat" not in names for names in held)
    checked = ("check that ball and seat, bought apart, seal on each other",) if split else ()
    return ("compare every piece with the old kit's before the work starts", *checked)
