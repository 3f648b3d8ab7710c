"""What every command is given: the global options, the database, and the way to answer."""

import os
import shutil
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

import typer

from partsdb.cli import streams
from partsdb.errors import UsageError

PIPE_WIDTH = 120  # columns of a table that no terminal limits


class Format(StrEnum):
    """How an answer is written."""

    TABLE = "table"
    JSON = "json"
    CSV = "csv"


@dataclass(frozen=True, slots=True)
class Settings:
    """The global options; `out` is a file for the rows.

    `as_of` is an ISO date, or "" for today; `known_on` one, or "" for what was known as of then.
    """

    db: Path | None = None
    format: Format = Format.TABLE
    quiet: bool = False
    as_of: str = ""
    debug: bool = False
    out: Path | None = None
    known_on: str = ""


class _Written:
    """Whether the command that runs has stored its change: what is said when it is cut short."""

    def __init__(self) -> None:
        self._done = False

    def forget(self) -> None:
        """Begin a command: nothing is stored."""
        self._done = False

    def note(self) -> None:
        """Note that the change is stored."""
        self._done = True

    def is_done(self) -> bool:
        """Say whether the change is stored."""
        return self._done


written = _Written()

FromFile = Annotated[
    Path | None, typer.Option("--from", help="A CSV file of the shop's own data.", metavar="FILE")
]
Maker = Annotated[str | None, typer.Option("--maker", help="Whose number it is.")]


def settings(ctx: typer.Context) -> Settings:
    """Return the global options of this run."""
    found = ctx.find_root().obj
    return found if isinstance(found, Settings) else Settings()


def day(ctx: typer.Context) -> str:
    """Return the ISO date for which prices, rates and offers are asked."""
    from partsdb.jobs.who import today

    return settings(ctx).as_of or today().isoformat()


@contextmanager
def database(ctx: typer.Context, *, write: bool = False, plans: bool = False) -> Iterator[None]:
    """Open the database that the user means, for one command.

    --known-on decides what counts; without it a question as of a day gone by is answered as it
    would have been on that day. What `plans` a change sees all that the change will see.
    """
    from partsdb.store.connect import open_database

    given = settings(ctx)
    with open_database(database_path(ctx), write=write, known_on=given.known_on):
        if given.as_of and not (given.known_on or write or plans):
            _look_back(ctx, given.as_of)
        yield
    if write:
        written.note()


def _look_back(ctx: typer.Context, as_of: str) -> None:
    """Answer as of a day gone by with what was known on it, and say what that leaves out.

    The day of a change says when it was done, not what was known: only questions look back.
    """
    from partsdb.jobs.known import answered_as_of

    if said := answered_as_of(as_of):
        note(ctx, f"note: {said}")


def database_path(ctx: typer.Context) -> Path:
    """Return where the database that the user means is."""
    from partsdb.store.connect import default_path

    return default_path(settings(ctx).db)


def iso_day(text: str, option: str = "--as-of") -> str:
    """Return a date that was typed, as ISO text; raises UsageError for anything else."""
    from partsdb.jobs.typed_days import day_typed

    return day_typed(text, option)


def emit(
    ctx: typer.Context,
    data: Any,
    *,
    table: Callable[[int], str],
    rows: Sequence[Mapping[str, Any]] = (),
    cautions: Sequence[str] = (),
) -> None:
    """Write the answer to stdout in the format asked for, and cautions to stderr.

    `data` goes into the JSON envelope, `rows` into CSV and the file that --out names, and `table`
    is given the width in columns.
    """
    from partsdb.render.output import csv_text, envelope

    wanted, out = settings(ctx).format, settings(ctx).out
    if out is not None:
        from partsdb.render.export import write_export

        count = write_export(out, rows)
        note(ctx, f"wrote {count} row{'' if count == 1 else 's'} to {out}")
        note_codes(ctx, out, rows)
    if wanted is Format.JSON:
        streams.say(envelope(data, cautions))
        return
    streams.say(csv_text(rows) if wanted is Format.CSV else table(terminal_width()))
    for caution in _brief(cautions) if settings(ctx).quiet else cautions:
        streams.say(f"caution: {caution}", err=True)


def _brief(cautions: Sequence[str]) -> list[str]:
    from partsdb.render.cautions import brief

    return brief(cautions)


def note(ctx: typer.Context, text: str) -> None:
    """Say on stderr what was done, unless the user asked for quiet."""
    if not settings(ctx).quiet:
        streams.say(text, err=True)


def note_codes(ctx: typer.Context, path: Path, rows: Sequence[Mapping[str, Any]]) -> None:
    """Say on stderr when codes were written to a CSV that a spreadsheet will not leave as is."""
    from partsdb.render.export import codes_at_risk

    if said := codes_at_risk(path, rows):
        note(ctx, f"note: {said}")


def write_file(path: Path, answer: str | bytes) -> None:
    """Write an answer to a file; raises UsageError with the reason when that cannot be done."""
    try:
        path.write_bytes(answer.encode("utf-8") if isinstance(answer, str) else answer)
    except OSError as error:
        why = error.strerror or str(error)
        raise UsageError(f"{path} cannot be written: {why}", hint="name another file") from error


def terminal_width() -> int:
    """Return the columns that a table may take: the terminal's, COLUMNS, or 120 in a pipe."""
    if sys.stdout.isatty() or os.environ.get("COLUMNS", "").isdecimal():
        return shutil.get_terminal_size().columns
    return PIPE_WIDTH


@contextmanager
def progress(ctx: typer.Context) -> Iterator[Callable[[str], None]]:
    """Give a function that says what is being done, on a terminal's stderr and nowhere else."""
    if settings(ctx).quiet or not sys.stderr.isatty():
        yield lambda said: None
        return
    try:
        yield lambda said: streams.say(f"\r\x1b[K{said} …", err=True, nl=False)
    finally:
        streams.say("\r\x1b[K", err=True, nl=False)
