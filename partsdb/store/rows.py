"""What the store takes and gives: plain frozen rows. Dates and times are ISO text, UTC."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from partsdb.rules.facts import Claim, PositionDemand


class Stamp(NamedTuple):
    """Who does something and when ("2026-03-02T09:30:00Z"): the caller knows, not the store."""

    who: str
    at: str


class MakerRow(NamedTuple):
    """A maker."""

    id: int
    name: str


class SupplierRow(NamedTuple):
    """A supplier; `own_brand` is the maker that its own numbers belong to, or ""."""

    id: int
    name: str
    own_brand: str
    note: str
    maker_id: int | None = None


class NewPart(NamedTuple):
    """A part to be stored."""

    maker_id: int
    number: str
    description: str = ""
    role: str = ""
    weight_g: int | None = None
    origin: str = ""
    heading: str = ""
    packed_mm: str = ""


class PartRow(NamedTuple):
    """A part as stored. `contents_stated`: 0 nobody, 1 the shop, 2 a seller of his own kit."""

    id: int
    maker: str
    maker_id: int
    number: str
    description: str
    role: str
    weight_g: int | None
    origin: str
    heading: str
    contents_stated: int = 0
    price_list_id: int | None = None
    packed_mm: str = ""


class NewClaim(NamedTuple):
    """A claim to be stored about a part; where it stands is `claim.source`."""

    part_id: int
    claim: Claim
    line_id: int | None = None
    price_list_id: int | None = None
    supersedes_id: int | None = None


class ClaimRow(NamedTuple):
    """A live claim as stored; `pascals` is None when it is no rating or cannot be read."""

    id: int
    part_id: int
    claim: Claim
    pascals: int | None
    made_by: str
    made_at: str
    price_list_id: int | None = None


class NewEdge(NamedTuple):
    """An edge to be stored: `fitted_id` may be fitted where `asked_id` is called for."""

    asked_id: int
    fitted_id: int
    state: str
    evidence: str
    conditions: tuple[str, ...] = ()
    source: str = ""
    line_id: int | None = None
    price_list_id: int | None = None


class EdgeDecision(NamedTuple):
    """A person's word on an edge; `conditions` None keeps those that the edge has."""

    state: str
    evidence: str
    source: str = ""
    conditions: tuple[str, ...] | None = None


class EdgeRow(NamedTuple):
    """The row of a pair that counts: the newest decision, or else the newest proposal."""

    id: int
    asked_id: int
    fitted_id: int
    state: str
    evidence: str
    conditions: tuple[str, ...]
    source: str
    price_list_id: int | None
    made_by: str = ""
    made_at: str = ""
    decided: bool = False


class SupersessionRow(NamedTuple):
    """`old_id` was replaced by `new_id`, or ended without a successor (None)."""

    id: int
    old_id: int
    new_id: int | None
    from_date: str | None
    serial_from: str
    serial_to: str
    source: str


class MachineRow(NamedTuple):
    """A machine model."""

    id: int
    maker: str
    model: str
    kind: str
    serviced: bool


class PositionRow(NamedTuple):
    """A position of a machine, its demand, and the parts it calls for with their quantities."""

    position_id: int
    machine_id: int
    machine: str
    machine_maker: str
    demand: PositionDemand
    part_ids: tuple[int, ...] = ()
    quantities: tuple[int, ...] = ()


class NewOffer(NamedTuple):
    """An offer to be stored. `breaks` are (from units, price_e4), the price on the same basis.

    `held` says why it waits for a person; until then it is offered to nobody.
    """

    supplier_id: int
    part_id: int
    price_e4: int
    currency: str
    code: str = ""
    price_per: int = 1
    pack_units: int = 1
    min_units: int = 1
    unit: str = ""
    lead_days: int | None = None
    stock: str = ""
    valid_from: str | None = None
    valid_to: str | None = None
    breaks: tuple[tuple[int, int], ...] = ()
    line_id: int | None = None
    price_list_id: int | None = None
    held: str = ""


class OfferRow(NamedTuple):
    """An offer as stored: what `price_per` units cost, in 1/10000ths of the major unit.

    `stated_on` is the ISO day from which price and stock are, as the list says, or of its entry.
    """

    id: int
    supplier_id: int
    supplier: str
    part_id: int
    code: str
    price_e4: int
    price_per: int
    currency: str
    pack_units: int
    min_units: int
    unit: str
    lead_days: int | None
    stock: str
    valid_from: str | None
    valid_to: str | None
    price_list_id: int | None
    breaks: tuple[tuple[int, int], ...] = ()
    stated_on: str = ""


class Terms(NamedTuple):
    """A supplier's terms from a date on; amounts in minor units of `currency`, shares as text."""

    supplier_id: int
    valid_from: str
    currency: str
    incoterm: str = ""
    named_place: str = ""
    freight_minor: int = 0
    free_above_minor: int | None = None  # None: freight is never free
    min_order_minor: int = 0
    small_order_minor: int = 0
    insurance_minor: int = 0
    brokerage_minor: int = 0  # in brokerage_currency
    brokerage_currency: str = ""
    duty_heading: str = ""
    origin: str = ""
    spread: str = "0"
    lead_days: int | None = None
    payment: str = ""
    freight_per_kg_minor: int | None = None
    fuel: str = "0"  # the surcharge on what goes by weight, which tops the flat freight
    volumetric_divisor: int | None = None  # cm³ that count as one kilogram
    weigh_by: str = "consignment"  # or "piece": each line of an order by itself
    weight_step_g: int = 0
    price_breaks: str = "all units"  # or "incremental"


class FxRow(NamedTuple):
    """What one euro costs in `currency` on `date`, as decimal text."""

    date: str
    currency: str
    per_eur: str
    source: str


class DutyRow(NamedTuple):
    """The duty rate (decimal text, "0.037" is 3.7 %) of a heading and origin ("" = any)."""

    heading: str
    origin: str
    rate: str
    valid_from: str
    valid_to: str | None
    source: str


class GradeRow(NamedTuple):
    """The shop's grade of a subject, newest first where several are given."""

    subject_kind: str
    subject_id: int
    grade: str
    reason: str
    evidence: str
    made_by: str
    made_at: str


class PartGrades(NamedTuple):
    """The grades that touch a part."""

    part: GradeRow | None
    maker: GradeRow | None


class EventRow(NamedTuple):
    """Something that was done, and to what."""

    id: int
    at: str
    who: str
    action: str
    subject_kind: str
    subject_id: int | None
    detail: dict[str, Any]
