"""Units of sale: what a list writes, as a code of UN/ECE Recommendation 20 or 21.

EA, C62 and H87 are different codes, and each is one. "M" is a metre or a thousand: we ask.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from partsdb.errors import AmbiguousError, NotFoundError
from partsdb.tables import by_key

# "100 ST", "per 50 pcs": a count of pieces that the table does not hold as one unit.
_COUNTED = re.compile(r"(?:PER |JE |/ ?)?([1-9][0-9]{0,5}) ?(\D.*)")


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


# A list writes a handful of units, each thousands of times.
@lru_cache(maxsize=1024)
def unit_code(text: str) -> UnitCode:
    """Return the unit that a list writes as `text`, in any case; "100 ST" is a hundred pieces.

    Raises AmbiguousError where the trade uses it for two things, NotFoundError for an unknown one.
    """
    key = " ".join(unicodedata.normalize("NFKC", text).upper().split())
    row = by_key("unit_codes", "text").get(key)
    if row is None:
        return _counted(key, text)
    if row["ambiguous"]:
        choices = row["ambiguous"].split(";")
        raise AmbiguousError("unit of sale", text, choices, hint="ask the supplier which he means")
    count = int(row["count"]) if row["count"] else None
    return UnitCode(row["code"], int(row["recommendation"]), count, row["kind"], row["meaning"])


def _counted(key: str, text: str) -> UnitCode:
    """Return the unit of a count of pieces, as a code that reads back as the same ("50 H87")."""
    found = _COUNTED.fullmatch(key)
    row = by_key("unit_codes", "text").get(found[2]) if found else None
    if found is None or row is None or row["kind"] != "count" or row["count"] != "1":
        raise NotFoundError("unit of sale", text, hint="add it to unit_codes.csv, or ask")
    many, code = int(found[1]), row["code"]
    if many == 1:
        return unit_code(code)
    return UnitCode(f"{many} {code}", 20, many, "count", f"{many} of {row['meaning']}")
