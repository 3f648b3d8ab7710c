"""Where answers go: streams that are closed, full, or whose reader has seen enough."""

import io
import os
import sys

import typer

from partsdb.errors import PartsdbError, UsageError


def ensure_open() -> None:
    """Put the null device in the place of a stream that the caller closed.

    Otherwise the next file to be opened, the database, would take its number.
    """
    if sys.stdin is None:
        sys.stdin = io.TextIOWrapper(io.BufferedReader(io.FileIO(os.devnull)))
    if sys.stdout is None:
        sys.stdout = _nowhere()
    if sys.stderr is None:
        sys.stderr = _nowhere()


def _nowhere() -> io.TextIOWrapper:
    return io.TextIOWrapper(io.BufferedWriter(io.FileIO(os.devnull, "w")), encoding="utf-8")


class UnwritableError(UsageError):
    """What was to be said to stdout cannot be: a full disk, a device that is gone."""


class ReaderGoneError(PartsdbError):
    """The reader of the pipe has seen enough; an OSError would be the library's own to handle."""


def say(text: str, *, err: bool = False, nl: bool = True) -> None:
    """Write a text to stdout or stderr; raises ReaderGoneError, or UnwritableError with the reason.

    A stderr that takes nothing has nobody to tell.
    """
    try:
        typer.echo(text, err=err, nl=nl)
    except BrokenPipeError as error:
        raise ReaderGoneError("nobody reads on") from error
    except OSError as error:
        if not err:
            raise UnwritableError(error.strerror or str(error)) from error


def flush() -> None:
    """Write out what stdout still holds; raises as `say` does."""
    say("", nl=False)


def let_go() -> int:
    """Send to nowhere what is left of the answer, so that it is not tried again; return 0."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0
