"""Rows of suppliers' terms beside the terms themselves; amounts in minor units, shares as text."""

from __future__ import annotations

from typing import NamedTuple


class FreightStepRow(NamedTuple):
    """A step of a freight table: `start` in grams (not itself in the step) or in minor units."""

    supplier_id: int
    valid_from: str
    basis: str
    currency: str
    start: int
    freight_minor: int
    per_kg_more_minor: int | None = None


class FeeRow(NamedTuple):
    """A fee on an order from a supplier; see the rules' Fee. `dutiable`: no, CIF or always."""

    supplier_id: int
    fee: str
    valid_from: str
    valid_to: str | None
    currency: str
    flat_minor: int = 0
    rate: str = "0"
    of: str = "goods"
    least_minor: int | None = None
    most_minor: int | None = None
    share_by: str = "value"
    dutiable: str = "no"
    in_vat: int = 0
    source: str = ""


class DiscountRow(NamedTuple):
    """What a supplier takes off his list price; None and "" mean any maker, role or code."""

    supplier_id: int
    valid_from: str
    valid_to: str | None
    maker_id: int | None
    role: str
    code: str
    rate: str
    note: str = ""


class DepositRow(NamedTuple):
    """A core deposit for each unit of a part; `returned` "": the shop's own share counts."""

    supplier_id: int
    part_id: int
    valid_from: str
    valid_to: str | None
    currency: str
    deposit_minor: int
    returned: str = ""


class CustomsRateRow(NamedTuple):
    """What customs count one unit of a currency at, in units of the home currency."""

    currency: str
    home: str
    valid_from: str
    valid_to: str | None
    rate: str
    source: str
