"""Who is at the bench and what time it is: the one place that asks the machine."""

from __future__ import annotations

import getpass
import os
from datetime import UTC, date, datetime

from partsdb.store.rows import Stamp


def now_utc() -> str:
    """Return the time as "2026-03-02T09:30:00Z"."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def today() -> date:
    """Return the day at the bench, in local time."""
    return date.today()


def user_name() -> str:
    """Return PARTSDB_USER, else the name under which the user is logged in."""
    named = os.environ.get("PARTSDB_USER", "").strip()
    if named:
        return named
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):  # no such account, as in a bare container
        return "unknown"


def stamp() -> Stamp:
    """Return who acts now and when."""
    return Stamp(user_name(), now_utc())


def stamp_in_story(day: str) -> Stamp:
    """Return a stamp of the ISO day on which a story says it was entered; never a future one."""
    return Stamp(user_name(), min(now_utc(), f"{day}T08:00:00Z"))
