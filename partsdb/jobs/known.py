"""Answers as of a day gone by: what was known then, and what that leaves out."""

from __future__ import annotations

from partsdb.jobs import who
from partsdb.store.known import entered_after, entered_by, look_back


def answered_as_of(day: str) -> str:
    """Show the open database as it was known on the ISO day; return what is to be said of it.

    Today and days to come are answered with all that is known, and so is a day before the first
    entry: no answer was given then that could be given again.
    """
    now = who.today().isoformat()
    if day >= now:
        return ""
    if not entered_by(day):
        return f"by {day} nothing had been entered here: what is known now is counted"
    look_back(day)
    if not entered_after(day):
        return ""
    return (
        f"this is the answer as it would have been given on {day}: what was entered since is left"
        f" out (--known-on {now} counts it)"
    )
