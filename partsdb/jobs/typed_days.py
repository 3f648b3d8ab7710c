"""Dates that a person types on the command line."""

from __future__ import annotations

from partsdb.errors import InputRefusedError, UsageError
from partsdb.rules.days import typed_iso_day


def day_typed(text: str, option: str) -> str:
    """Return a date that was typed for an option, as ISO text; raises UsageError that names it."""
    try:
        return typed_iso_day(text)
    except InputRefusedError as refused:
        raise UsageError(f"{option} {refused.message}", hint=refused.hint) from None
