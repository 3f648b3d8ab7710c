"""The console script: global options, every command, and one sentence for whatever goes wrong."""

import gc
import sys
from collections.abc import Sequence
from functools import cache
from importlib import import_module
from itertools import pairwise
from pathlib import Path
from typing import Annotated

import typer

from partsdb.cli import streams
from partsdb.cli.context import Format, Settings, iso_day, written
from partsdb.errors import PartsdbError

OUR_FAULT, WRONG_USAGE, REFUSED, INTERRUPTED = 1, 2, 3, 130
# A command lives for seconds and makes few cycles. Looking for them over and over in all that it
# has read took a seventh of the time of a long list; new things are still looked at as they add up.
_SELDOM = (50_000, 20, 1_000)
# The class that the command-line library raises for wrong usage, whichever version brings it.
_WRONG_USAGE_ERROR: type[Exception] = typer.BadParameter.__bases__[0]

# The modules of commands, in the order of the help, with the words that call for each: a command
# loads its own module alone, the help and a word that nobody knows load all of them.
MODULES = {
    "demo": ("demo",),
    "questions": ("instead", "vet", "rebuild"),
    "basket": ("basket",),
    "pricelists": ("pricelist",),
    "parts": ("part",),
    "kits": ("kit",),
    "machines": ("machine",),
    "suppliers": ("supplier", "fx", "duty"),
    "grades": ("grade",),
    "lots": ("lot", "unknowns"),
    "jobs": ("job",),
    "shop_settings": ("setting",),
    "upkeep": ("init", "load", "doctor", "backup", "restore", "history"),
}


@cache
def application(*modules: str) -> typer.Typer:
    """Return the console script with the commands of those modules only."""
    app = typer.Typer(
        name="partsdb",
        help="What may stand in for what on high-pressure equipment, who sells it, and at what"
        " price.",
        no_args_is_help=True,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        add_completion=False,
    )
    app.callback()(options)
    for module in modules:
        import_module(f"partsdb.cli.{module}").register(app)
    return app


def modules_for(typed: Sequence[str]) -> list[str]:
    """Return the one module that has the command typed, or all: the help and a wrong word do."""
    rest = _parted(typed)[1]
    word = rest[0] if rest else ""
    return [module for module, words in MODULES.items() if word in words] or list(MODULES)


def _show_version(wanted: bool) -> None:
    if wanted:
        from importlib.metadata import version

        streams.say(f"partsdb {version('partsdb')}")
        raise typer.Exit


def options(
    ctx: typer.Context,
    db: Annotated[
        Path | None,
        typer.Option("--db", help="The database file (else PARTSDB_DB, else your data folder)."),
    ] = None,
    output: Annotated[
        Format, typer.Option("--format", help="How the answer is written.")
    ] = Format.TABLE,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="No notes on stderr.")] = False,
    as_of: Annotated[
        str,
        typer.Option(
            "--as-of",
            help="The answer of that day: its prices and rates, and what was known then.",
            metavar="DATE",
        ),
    ] = "",
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", help="Write the answer's rows to a .xlsx or .csv file.", metavar="FILE"
        ),
    ] = None,
    known_on: Annotated[
        str,
        typer.Option(
            "--known-on",
            help="Count what was entered by that day's end (else: as known on --as-of).",
            metavar="DATE",
        ),
    ] = "",
    debug: Annotated[bool, typer.Option("--debug", help="Show where a fault arose.")] = False,
    version: Annotated[
        bool, typer.Option("--version", callback=_show_version, is_eager=True, help="The version.")
    ] = False,
) -> None:
    """Keep the global options for the command that follows."""
    day = iso_day(as_of) if as_of else ""
    known = iso_day(known_on, "--known-on") if known_on else ""
    ctx.obj = Settings(db, output, quiet, day, debug, out, known_on=known)


def run(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave with the exit code of the design; never with a traceback."""
    typed = list(sys.argv[1:] if arguments is None else arguments)
    gc.set_threshold(*_SELDOM)
    streams.ensure_open()
    written.forget()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")
    typed = hoisted(typed)
    # Whatever nothing below expects is our fault: one line and a log, exit code 1.
    sys.excepthook = lambda kind, error, trace: _our_fault(typed, error)
    try:
        code = _outcome(typed)
        streams.flush()
    except KeyboardInterrupt:
        code = INTERRUPTED
    except (streams.ReaderGoneError, BrokenPipeError):
        code = streams.let_go()
    except streams.UnwritableError as error:
        code = _unwritten(typed, error)
    if code == INTERRUPTED:
        _say(typed, "interrupted", _interrupted(), "", code)
    sys.exit(code)


_GLOBAL_WITH_VALUE = ("--db", "--format", "--as-of", "--known-on", "--out")
_GLOBAL_FLAGS = ("--quiet", "-q", "--debug")


def hoisted(typed: Sequence[str]) -> list[str]:
    """Return the arguments with the global options first, wherever they were typed.

    What follows "--" is left alone.
    """
    front, rest = _parted(typed)
    return [*front, *rest]


def _parted(typed: Sequence[str]) -> tuple[list[str], list[str]]:
    """Return the global options, and the command with what else was typed."""
    front: list[str] = []
    rest: list[str] = []
    left = list(typed)
    while left and left[0] != "--":
        word = left.pop(0)
        if word in _GLOBAL_WITH_VALUE and left:
            front += [word, left.pop(0)]
        elif word in _GLOBAL_FLAGS or word.startswith(tuple(f"{g}=" for g in _GLOBAL_WITH_VALUE)):
            front.append(word)
        else:
            rest.append(word)
    return front, [*rest, *left]


def _outcome(typed: Sequence[str]) -> int:
    """Run one command and return its exit code, having said what went wrong."""
    try:
        # Not app(): it would put its own hook for faults in the place of ours.
        command = typer.main.get_command(application(*modules_for(typed)))
        code = command(typed, prog_name="partsdb", standalone_mode=False)
        return code if isinstance(code, int) else 0
    except (streams.ReaderGoneError, streams.UnwritableError):
        raise  # there is no use in saying more where nothing can be said
    except PartsdbError as error:
        return _say(typed, error.code, str(error), error.hint, error.exit_code)
    except _WRONG_USAGE_ERROR as error:
        return _wrong_usage(typed, error)
    except typer.Abort:
        return INTERRUPTED
    except _reader_error() as error:  # looked up only when none of the others came
        return _say(typed, "input_refused", str(error), getattr(error, "hint", ""), REFUSED)


def _reader_error() -> type[Exception]:
    from importers.rows import ReaderError

    return ReaderError


def _interrupted() -> str:
    if written.is_done():
        return "interrupted: the change is stored, only its answer was cut short"
    return "interrupted before it was done: nothing was stored"


def _unwritten(typed: Sequence[str], error: Exception) -> int:
    """Say that the answer had nowhere to go, and whether the change that it tells of stands."""
    streams.let_go()
    stored = "; the change itself is stored" if written.is_done() else ""
    message = f"the answer cannot be written: {error}{stored}"
    return _say(typed, "usage", message, "write it to another place", WRONG_USAGE)


def _wrong_usage(typed: Sequence[str], error: Exception) -> int:
    context = getattr(error, "ctx", None)
    path = getattr(context, "command_path", "partsdb")
    said = str(getattr(error, "message", "") or error)
    if said.startswith("Usage:"):  # a group without its command: the help is the answer
        streams.say(said, err=True)
        return WRONG_USAGE
    sentence = getattr(error, "format_message", lambda: said)()
    return _say(typed, "usage", sentence.rstrip("."), f"{path} --help tells more", WRONG_USAGE)


def _our_fault(typed: Sequence[str], error: BaseException) -> None:
    import traceback

    trace = "".join(traceback.format_exception(error))
    if "--debug" in typed:
        streams.say(trace, err=True)
        where = "the trace stands above"
    else:
        where = _logged(typed, trace)
    what = f"{type(error).__name__}: {error}".splitlines()[0]
    message = f"this is a fault of partsdb, not yours ({what})"
    _say(typed, "internal", message, where, OUR_FAULT)


def _logged(typed: Sequence[str], trace: str) -> str:
    """Write the trace to the log and return a sentence that says where it lies."""
    from datetime import UTC, datetime

    from platformdirs import user_log_path

    log = user_log_path("partsdb", appauthor=False) / "partsdb.log"
    try:
        log.parent.mkdir(parents=True, exist_ok=True)
        with log.open("a", encoding="utf-8") as out:
            out.write(f"{datetime.now(UTC).isoformat()} partsdb {' '.join(typed)}\n{trace}\n")
    except OSError:
        return "run it again with --debug to see where it arose"
    return f"the trace lies in {log}"


def _say(typed: Sequence[str], code: str, message: str, hint: str, exit_code: int) -> int:
    if _wants_json(typed):
        from partsdb.render.output import failure

        streams.say(failure(code, message, hint))
        return exit_code
    streams.say(f"error: {message}", err=True)
    if hint:
        streams.say(f"  hint: {hint}", err=True)
    return exit_code


def _wants_json(typed: Sequence[str]) -> bool:
    return ("--format", "json") in pairwise(typed) or "--format=json" in typed
