"""Units of sale: what a list writes, as a code of UN/ECE Recommendation 20 or 21.

EA, C62 and H87 are different codes, and each is one. "M" is a metre or a thousand: we ask.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass

from partsdb.errors import AmbiguousError, NotFoundError
from partsdb.tables import by_key


@dataclass(frozen=True, slots=True)
class UnitCode:
    """A unit of sale. `count` is how many pieces it holds; None when it is measured or unsaid.

    `recommendation` is 20 (units) or 21 (packages); `kind` is "count", "length", "volume", "mass"
    or "package".
    """

    code: str
    recommendation: int
    count: int | None
    kind: str
    meaning: str


def unit_code(text: str) -> UnitCode:
    """Return the unit that a list writes as `text`, in any case.

    Raises AmbiguousError where the trade uses it for two things, NotFoundError for an unknown one.
    """
    key = " ".join(unicodedata.normalize("NFKC", text).upper().split())
    row = by_key("unit_codes", "text").get(key)
    if row is None:
        raise NotFoundError("unit of sale", text, hint="add it to unit_codes.csv, or ask")
    if row["ambiguous"]:
        choices = row["ambiguous"].split(";")
        raise AmbiguousError("unit of sale", text, choices, hint="ask the supplier which he means")
    count = int(row["count"]) if row["count"] else None
    return UnitCode(row["code"], int(row["recommendation"]), count, row["kind"], row["meaning"])
