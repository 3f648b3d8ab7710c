"""The commands that put a batch's questions to a person, and that tell what would be read anew."""

from pathlib import Path
from typing import Annotated, Any

import typer

from partsdb.cli.context import Format, database, day, emit, note, note_codes, settings
from partsdb.errors import UsageError


def register(group: typer.Typer) -> None:
    """Add these commands to the group of price lists."""
    group.command()(review)
    group.command()(recheck)


def review(
    ctx: typer.Context,
    batch: Annotated[int, typer.Argument(help="The batch's number.")] = 0,
    export: Annotated[
        Path | None, typer.Option("--export", help="Write the questions to a .csv or .xlsx sheet.")
    ] = None,
    answers: Annotated[
        Path | None, typer.Option("--import", help="Take the answers of such a sheet.")
    ] = None,
    row: Annotated[int, typer.Option("--row", help="Ask about this row, settled or not.")] = 0,
    sheet: Annotated[str, typer.Option("--sheet", help="The sheet of --row.")] = "",
    check: Annotated[
        int, typer.Option("--check", help="Ask about so many settled lines too.", min=0)
    ] = 0,
    undo: Annotated[bool, typer.Option("--undo", help="Take the last answer back.")] = False,
    record: Annotated[
        bool, typer.Option("--record", help="Show how often the matcher was right here.")
    ] = False,
) -> None:
    """Ask about the lines that need a person, the most harmful if wrong first."""
    from partsdb.jobs.review import ReviewAsk

    if record:
        return _show_record(ctx)
    if not batch:
        raise UsageError("which batch?", hint="partsdb pricelist show lists them")
    ask = ReviewAsk(batch, day(ctx), row, sheet, check)
    if undo:
        return _undo(ctx, batch)
    if answers:
        return _import(ctx, answers, ask)
    if export:
        return _export(ctx, export, ask)
    if settings(ctx).format is not Format.TABLE:
        return _list(ctx, ask)
    return _sit(ctx, ask)


def recheck(
    ctx: typer.Context,
    batch: Annotated[int, typer.Argument(help="A batch's number; without it, all batches.")] = 0,
    apply: Annotated[bool, typer.Option("--apply", help="Store the new readings.")] = False,
) -> None:
    """Tell which past readings and decisions today's matcher and catalogue would flip."""
    from partsdb.jobs.recheck import recheck as compare
    from partsdb.jobs.who import stamp
    from partsdb.render.output import plain
    from partsdb.render.review import flips_text

    with database(ctx, write=apply, plans=not apply):
        answer = compare(batch, stamp() if apply else None)
    rows = plain(answer)["flips"]
    emit(ctx, answer, table=lambda width: flips_text(answer, width), rows=rows)


def _show_record(ctx: typer.Context) -> None:
    from partsdb.jobs.review_record import record_rows
    from partsdb.render.review import record_text

    with database(ctx):
        rows = record_rows()
    emit(ctx, {"record": rows}, table=lambda width: record_text(rows, width), rows=rows)


def _undo(ctx: typer.Context, batch: int) -> None:
    from partsdb.jobs.decisions import undo
    from partsdb.jobs.who import stamp

    with database(ctx, write=True):
        done = undo(batch, stamp())
    _told(ctx, batch, {"taken_back": len(done.decisions), "lines_read_anew": done.lines})


def _import(ctx: typer.Context, path: Path, ask: Any) -> None:
    from partsdb.jobs.review_sheet import take_answers
    from partsdb.jobs.who import stamp

    with database(ctx, write=True):
        done = take_answers(path, ask, stamp())
    _told(ctx, ask.batch, {"decided": len(done.decisions), "lines_read_anew": done.lines})


def _told(ctx: typer.Context, batch: int, counts: dict[str, int]) -> None:
    from partsdb.render.parts import rows_text

    row = {"batch": batch, **counts}
    emit(ctx, {"review": row}, table=lambda width: rows_text([row], width), rows=[row])


def _export(ctx: typer.Context, path: Path, ask: Any) -> None:
    from partsdb.jobs.review import review as questions
    from partsdb.jobs.review_sheet import COLUMNS, sheet_rows
    from partsdb.render.sheets import write_sheet

    with database(ctx, plans=True):
        found = questions(ask)
    rows = sheet_rows(ask.batch, found.questions)
    write_sheet(path, rows, COLUMNS)
    note_codes(ctx, path, rows)
    _told(ctx, ask.batch, {"questions": len(found.questions)})
    note(ctx, f"fill the column answer in {path}, then: --import {path}")


def _list(ctx: typer.Context, ask: Any) -> None:
    from partsdb.jobs.review import review as questions
    from partsdb.jobs.review_question import risk_of
    from partsdb.jobs.review_sheet import sheet_rows

    with database(ctx, plans=True):
        found = questions(ask)
    data = {"review": found, "left": risk_of(found.questions)}
    emit(ctx, data, table=lambda width: "", rows=sheet_rows(ask.batch, found.questions))


def _sit(ctx: typer.Context, ask: Any) -> None:
    from partsdb.cli.sitting import Table
    from partsdb.jobs.review import review as questions
    from partsdb.jobs.review_session import Sitting

    with database(ctx, plans=True):
        sitting = Sitting(ask, questions(ask))
    Table(ctx, sitting).run()
