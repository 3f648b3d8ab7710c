"""What came back and why, which document a statement rests on, and what a recall sheet must say.

Causes: partsdb/tables/comeback_causes.csv. Contents of the sheet: trade handbook 7.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from partsdb.errors import UsageError
from partsdb.tables import rows

# What follows the name of a document and only says where in it a statement stands.
_PLACE_IN_IT = re.compile(
    r"[,;]\s+(?:p|pp|page|pages|line|table|section|cl|clause|§|(?:\S+\s+)?row)\.?\s*\d[\w.,\s-]*$",
    re.IGNORECASE,
)


# What whoever has one must do before anything else: trade handbook 7 and 9.2.
NOW = (
    "stop using the machine and switch it off",
    "relieve the pressure by the maker's procedure, lock out and verify zero",
    "do not loosen, strip or repair it: leave it as it is until somebody from here has seen it",
)


@dataclass(frozen=True, slots=True)
class Cause:
    """Why something came back. `boundary` says whether a pressure boundary failed: yes, no, ask."""

    code: str
    what: str
    blames_part: bool
    boundary: str


@cache
def causes() -> Mapping[str, Cause]:
    """Return the causes by code."""
    return {
        row["code"]: Cause(row["code"], row["what"], row["blames_part"] == "yes", row["boundary"])
        for row in rows("comeback_causes")
    }


def cause_named(code: str) -> Cause:
    """Return the cause; raises UsageError with all codes for another word."""
    found = causes().get(" ".join(code.lower().split()))
    if found is None:
        raise UsageError(f"{code!r} is no cause", hint=f"use one of: {', '.join(causes())}")
    return found


def boundary_failed(cause: Cause, said: bool | None) -> bool:
    """Return whether the pressure boundary failed; raises UsageError when the cause leaves it open.

    A burst or a thread that pulled out is a failed boundary whatever was said.
    """
    if cause.boundary == "yes":
        return True
    if said is None and cause.boundary == "ask":
        raise UsageError(
            f"{cause.code!r} does not say whether the pressure boundary failed",
            hint="add --boundary (the fluid got out under pressure) or --no-boundary",
        )
    return bool(said)


def document_of(source: str) -> str:
    """Return the document that a source names: "QH-7, p. 3" is QH-7, "sheet 31: leaked" sheet 31.

    Cutting too much off finds more statements than rest on it, which a recall can bear; cutting too
    little would miss some.
    """
    text, before = source.partition(": ")[0].strip(), ""
    while text != before:
        text, before = _PLACE_IN_IT.sub("", text).rstrip(" ,;"), text
    return text
