"""What jobs and stock top-ups need, which parts may serve, and who sells them by when."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from partsdb.errors import PartsdbError, UsageError
from partsdb.jobs.choices import Choice, choices_for
from partsdb.jobs.landing import Landings, Need, Side
from partsdb.jobs.named import the_part, the_recipe
from partsdb.jobs.shelf import shelf_text
from partsdb.jobs.typed_days import day_typed
from partsdb.jobs.weigh import supplier_grade
from partsdb.rules.basket import BasketNeed, BasketOffer, BasketSupplier, Option
from partsdb.rules.basket_orders import basket_offer, basket_supplier, lowest_duty
from partsdb.rules.grading import BARRED, effective_grade
from partsdb.rules.landed import LandedLine
from partsdb.rules.rebuild import is_option
from partsdb.rules.stock import stated_stock
from partsdb.rules.verdict import Verdict
from partsdb.store import catalogue, machines
from partsdb.store.rows import OfferRow, PartRow, PositionRow

# NAME, NAME:QUANTITY, NAME@DATE or NAME:QUANTITY@DATE; a part is MAKER|NUMBER.
_JOB = re.compile(
    r"(?P<name>.+?)(?::(?P<units>\d{1,6}))?"
    r"(?:@(?P<by>\d{4}-\d\d-\d\d|\d{1,2}([./])\d{1,2}\4\d{2,4}))?"
)
_GRADES = "ABCD"


@dataclass(frozen=True, slots=True)
class Job:
    """A recipe or a part, how many, and by when (ISO date, "" for whenever)."""

    name: str
    units: int
    by: str


@dataclass(frozen=True, slots=True)
class Wanted:
    """So many units where `asked` is called for, by when, for which jobs."""

    asked: PartRow
    positions: tuple[PositionRow, ...]
    units: int
    by: str
    jobs: tuple[str, ...]

    @property
    def name(self) -> str:
        """The part called for, and by when."""
        return f"{self.asked.maker} {self.asked.number}" + (f" by {self.by}" if self.by else "")


@dataclass(frozen=True, slots=True)
class Limits:
    """Whom and what the shop will have: the worst grade ("" for any), suppliers (none: all)."""

    as_of: str
    worst_grade: str = ""
    suppliers: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Sale:
    """One offer that may be bought, with the part it is of."""

    part: PartRow
    offer: OfferRow
    side: Side
    line: LandedLine
    lead_days: int | None

    @property
    def name(self) -> str:
        """The part, and who sells it."""
        return f"{self.part.maker} {self.part.number} from {self.offer.supplier}"


@dataclass(slots=True)
class Market:
    """Everything gathered: needs with their options, the sales they point to, what was left out."""

    as_of: str
    needs: list[BasketNeed] = field(default_factory=list)
    wanted: list[Wanted] = field(default_factory=list)
    sales: list[Sale] = field(default_factory=list)
    verdicts: dict[tuple[int, int], tuple[Verdict, tuple[str, ...]]] = field(default_factory=dict)
    unserved: list[str] = field(default_factory=list)
    shelf: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    @property
    def lines(self) -> dict[str, list[LandedLine]]:
        """What each supplier offers, by his name in order."""
        found: dict[str, list[LandedLine]] = {}
        for sale in sorted(self.sales, key=lambda sale: sale.offer.supplier):
            found.setdefault(sale.offer.supplier, []).append(sale.line)
        return found

    def offers(self) -> tuple[BasketOffer, ...]:
        """Return the sales as a basket counts them, in their order."""
        lowest = {name: lowest_duty(lines) for name, lines in self.lines.items()}
        return tuple(
            replace(
                basket_offer(sale.name, sale.side.seller, sale.line, lowest[sale.offer.supplier]),
                # Where there is none, the time stated is that of getting more.
                stock=stated_stock(sale.offer.stock) or None,
            )
            for sale in self.sales
        )

    def suppliers(self) -> tuple[BasketSupplier, ...]:
        """Return who sells, with what an order from each costs beside the goods."""
        sides = {sale.offer.supplier: sale.side for sale in self.sales}
        return tuple(basket_supplier(sides[n].seller, lines) for n, lines in self.lines.items())


def the_job(text: str, *, by: str = "") -> Job:
    """Return a job as it was typed: NAME[:QUANTITY][@DATE]; raises UsageError."""
    found = _JOB.fullmatch(text.strip())
    units = int(found["units"] or 1) if found else 0
    if found is None or not units:
        raise UsageError(
            f"{text!r} is no job to buy for",
            hint='write "Q33 bypass rebuild:2" or "Quillmere|24-1180:5", with @DATE for its day',
        )
    day = day_typed(found["by"], f"{text!r} names no date:") if found["by"] else by
    return Job(found["name"].strip(), units, day)


def wanted_for(jobs: Sequence[Job]) -> list[Wanted]:
    """Return what the jobs need, the same part in the same places by the same day as one."""
    found: dict[tuple[object, ...], Wanted] = {}
    for job in jobs:
        for new in _stock(job) if "|" in job.name else _recipe(job):
            places = tuple(sorted(row.position_id for row in new.positions))
            key = (new.asked.id, places, new.by)
            old = found.get(key)
            found[key] = (
                replace(old, units=old.units + new.units, jobs=(*old.jobs, *new.jobs))
                if old
                else new
            )
    return list(found.values())


def _stock(job: Job) -> Iterator[Wanted]:
    maker, _, number = (each.strip() for each in job.name.partition("|"))
    asked = the_part(number, maker)
    positions = machines.positions_calling_for([asked.id])
    yield Wanted(asked, tuple(positions), job.units, job.by, ("stock",))


def _recipe(job: Job) -> Iterator[Wanted]:
    recipe = the_recipe(job.name)
    parts = catalogue.part_rows([item.part_id for item in recipe.items])
    for item in recipe.items:
        positions = (
            machines.position_rows([item.position_id])
            if item.position_id
            else machines.positions_calling_for([item.part_id])
        )
        units = item.quantity * job.units
        yield Wanted(parts[item.part_id], tuple(positions), units, job.by, (recipe.name,))


class Gatherer:
    """Gathers who sells what may be fitted; a supplier's terms and rates are looked up once."""

    def __init__(self, limits: Limits) -> None:
        self._limits = limits
        self._landings = Landings(limits.as_of)
        self._places: dict[int, int | None] = {}
        self.market = Market(limits.as_of)

    def add(self, wanted: Wanted) -> None:
        """Add a need with every option; one that nobody can serve is noted and left out."""
        itself, others, _ = choices_for(wanted.asked, wanted.positions, self._limits.as_of)
        options: dict[int, Option] = {}
        place = len(self.market.needs)
        for choice in (itself, *others):
            if not _may_be_bought(choice, itself, wanted):
                continue
            self._say_shelf(choice, wanted)
            for offer in choice.offers:
                option = self._option(choice, offer, wanted)
                if option is not None:
                    options[option.offer] = option
                    told = (choice.weighed.verdict, choice.weighed.conditions)
                    self.market.verdicts[place, option.offer] = told
        if not options:
            self.market.unserved.append(
                f"{wanted.name}: no supplier offers a part that may be fitted"
            )
            return
        self.market.wanted.append(wanted)
        due = f"needed by {wanted.by}" if wanted.by else ""
        need = BasketNeed(wanted.name, wanted.units, tuple(options.values()), due=due)
        self.market.needs.append(need)

    def _say_shelf(self, choice: Choice, wanted: Wanted) -> None:
        if choice.shelf:
            part = choice.part
            said = f"{part.maker} {part.number} for {wanted.name}: {shelf_text(choice.shelf)}"
            self.market.shelf.append(f"{said}; {wanted.units} needed")

    def _option(self, choice: Choice, offer: OfferRow, wanted: Wanted) -> Option | None:
        seller = supplier_grade(offer.supplier_id, offer.supplier)
        grade = effective_grade([each for each in (seller, choice.grade) if each])
        graded = grade.grade if grade else ""
        if graded == BARRED or (
            self._limits.suppliers and offer.supplier_id not in self._limits.suppliers
        ):
            return None
        place = self._place(choice.part, offer)
        if place is None:
            return None
        against = [rule for rule in (self._late(place, wanted), self._worse(graded)) if rule]
        return Option(place, tuple(against))

    def _place(self, part: PartRow, offer: OfferRow) -> int | None:
        """Return where the offer stands among the sales; None when it cannot be landed."""
        if offer.id not in self._places:
            sale = self._sale(part, offer)
            self._places[offer.id] = len(self.market.sales) if sale else None
            self.market.sales += [sale] if sale else []
        return self._places[offer.id]

    def _sale(self, part: PartRow, offer: OfferRow) -> Sale | None:
        """Return the offer as it would be landed; what cannot be costed is no option, and said."""
        try:
            side = self._landings.side(offer)
        except PartsdbError as refusal:
            self._leave_out(f"nothing from {offer.supplier}: {refusal.message}")
            return None
        try:
            line = self._landings.line(Need(part, offer, 1))
        except PartsdbError as refusal:
            self._leave_out(f"not {offer.code} from {offer.supplier}: {refusal.message}")
            return None
        return Sale(part, offer, side, line, self._landings.lead_days(offer))

    def _leave_out(self, said: str) -> None:
        if said not in self.market.notes:
            self.market.notes.append(said)

    def _late(self, place: int, wanted: Wanted) -> str:
        if not wanted.by:
            return ""
        days = self.market.sales[place].lead_days
        left = dt.date.fromisoformat(wanted.by) - dt.date.fromisoformat(self._limits.as_of)
        # An unknown lead time does not show that it comes in time.
        return "" if days is not None and days <= left.days else f"needed by {wanted.by}"

    def _worse(self, grade: str) -> str:
        worst = self._limits.worst_grade
        if not worst or (grade in _GRADES and grade and grade <= worst):
            return ""
        return f"no grade worse than {worst}"


def _may_be_bought(choice: Choice, itself: Choice, wanted: Wanted) -> bool:
    if is_option(choice.weighed.verdict):
        return True
    # For stock, the very part that no position here calls for may be bought: nothing is said of
    # where it fits.
    is_asked = choice is itself and not wanted.positions
    return is_asked and choice.weighed.verdict is Verdict.ASK_FIRST
