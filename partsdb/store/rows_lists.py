"""Rows of price lists and recipes, as the store takes and gives them: see rows.py."""

from __future__ import annotations

from typing import Any, NamedTuple


class NewList(NamedTuple):
    """A price list to be stored. `profiles` are plain data (the profiles of importers as dicts)."""

    supplier_id: int
    file_name: str
    sha256: str
    reader: str
    currency: str = ""
    valid_from: str | None = None
    valid_to: str | None = None
    profiles: tuple[Any, ...] = ()
    assumptions: tuple[str, ...] = ()
    skipped: tuple[str, ...] = ()
    renews_id: int | None = None


class PriceListRow(NamedTuple):
    """A stored price list with its counts; `withdrawn_at` is None while it is live.

    `renews_id` is the earlier list of the supplier that it takes the place of.
    """

    id: int
    supplier_id: int
    supplier: str
    file_name: str
    sha256: str
    reader: str
    read_at: str
    read_by: str
    currency: str
    valid_from: str | None
    valid_to: str | None
    profiles: tuple[Any, ...]
    assumptions: tuple[str, ...]
    skipped: tuple[str, ...]
    withdrawn_at: str | None
    withdrawn_why: str
    lines: int = 0
    offers: int = 0
    renews_id: int | None = None


class NewLine(NamedTuple):
    """A row of a list to be stored; `fields` is whatever plain data the caller keeps of it."""

    sheet: str
    row: int
    kind: str
    fields: dict[str, Any]
    code: str = ""
    description: str = ""
    notes: tuple[str, ...] = ()


class LineRow(NamedTuple):
    """A stored row of a list."""

    id: int
    price_list_id: int
    sheet: str
    row: int
    kind: str
    code: str
    code_key: str
    description: str
    fields: dict[str, Any]
    notes: tuple[str, ...]


class NewReading(NamedTuple):
    """What a line was taken for. `own_part_id` is the supplier's own part that the line sells."""

    line_id: int
    kind: str
    confidence: float
    matcher_version: int
    part_id: int | None = None
    own_part_id: int | None = None
    damage: str = ""
    evidence: tuple[Any, ...] = ()


class ReadingRow(NamedTuple):
    """A stored reading."""

    id: int
    line_id: int
    kind: str
    part_id: int | None
    own_part_id: int | None
    confidence: float
    damage: str
    evidence: tuple[Any, ...]
    matcher_version: int


WRONG_MATCH = "not that part"


class NewDecision(NamedTuple):
    """A person's word on what a supplier's code means; `said` is the line's text at that time.

    `kind` is that of a reading, or WRONG_MATCH: the code is not that part. `reading_id` is the
    reading that the person judged.
    """

    supplier_id: int
    code_key: str
    said: str
    kind: str
    part_id: int | None = None
    reason: str = ""
    reading_id: int | None = None


class DecisionRow(NamedTuple):
    """A stored decision that has not been taken back.

    `code` is that of the line which was judged, as printed; its key where no line is known.
    """

    id: int
    supplier_id: int
    code_key: str
    said: str
    kind: str
    part_id: int | None
    reason: str
    made_by: str
    made_at: str
    reading_id: int | None = None
    code: str = ""


class NewRecipe(NamedTuple):
    """A rebuild recipe to be stored; amounts in minor units of `currency`."""

    name: str
    currency: str
    machine_id: int | None = None
    minutes: int = 0
    hourly_minor: int = 0
    comeback_minutes: int = 0
    comeback_carriage_minor: int = 0
    comeback_goodwill_minor: int = 0
    waiting_day_minor: int = 0
    consumables_minor: int = 0


class RecipeItemRow(NamedTuple):
    """One part that a recipe needs; `position_id` says where it goes, when stated."""

    part_id: int
    quantity: int
    position_id: int | None = None
    position: str = ""


class RecipeRow(NamedTuple):
    """A stored recipe."""

    id: int
    name: str
    currency: str
    machine_id: int | None
    machine: str
    minutes: int
    hourly_minor: int
    comeback_minutes: int
    comeback_carriage_minor: int
    comeback_goodwill_minor: int
    waiting_day_minor: int
    consumables_minor: int = 0
    items: tuple[RecipeItemRow, ...] = ()
