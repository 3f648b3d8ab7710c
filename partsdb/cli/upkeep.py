"""Commands of the whole database: init, load, doctor, backup, restore, history."""

from pathlib import Path
from typing import Annotated

import typer

from partsdb.cli.context import database, database_path, day, emit, note

BROKEN = 4


def register(root: typer.Typer) -> None:
    """Add these commands to the console script."""
    for command in (init, load, doctor, backup, restore, history):
        root.command()(command)


def init(ctx: typer.Context) -> None:
    """Make a new, empty database."""
    from partsdb.store.connect import init_database

    path = database_path(ctx)
    init_database(path)
    facts = {"database": str(path)}
    emit(ctx, facts, table=lambda width: f"made {path}", rows=[facts])
    note(ctx, "next: partsdb load FOLDER, or partsdb part add --from FILE")


def load(
    ctx: typer.Context,
    folder: Annotated[Path, typer.Argument(help="Holds parts.csv, machines.csv, terms.csv …")],
) -> None:
    """Take in the shop's own CSV files, all of them or none; the same again changes nothing."""
    from partsdb.jobs.catalogue import load_shop
    from partsdb.render.output import plain
    from partsdb.render.parts import rows_text

    with database(ctx, write=True):
        answer = load_shop(folder)
    rows = [{k: v for k, v in plain(f).items() if k != "cautions"} for f in answer.files]
    emit(ctx, {"files": rows}, table=lambda width: rows_text(rows, width), rows=rows,
         cautions=answer.cautions)  # fmt: skip


def doctor(ctx: typer.Context) -> None:
    """Check the database: what is broken, and what is missing before an answer can be given."""
    from partsdb.jobs.doctor import doctor as check_up
    from partsdb.render.doctor import doctor_text
    from partsdb.render.output import plain

    with database(ctx):
        answer = check_up(day(ctx))
    rows = [plain(finding) for finding in answer.findings]
    emit(ctx, answer, table=lambda width: doctor_text(answer, width), rows=rows)
    if any(row["check"] == "file" for row in rows):
        raise typer.Exit(BROKEN)


def backup(
    ctx: typer.Context,
    target: Annotated[
        Path | None, typer.Argument(help="The copy, or its folder; else beside the database.")
    ] = None,
) -> None:
    """Copy the whole database and check the copy from end to end."""
    from partsdb.jobs.upkeep import make_backup
    from partsdb.render.output import plain

    copied = make_backup(database_path(ctx), target)
    told = f"{copied.file} ({copied.size_bytes} bytes, checked)"
    emit(ctx, copied, table=lambda width: told, rows=[plain(copied)])


def restore(
    ctx: typer.Context,
    source: Annotated[Path, typer.Argument(help="A file that backup wrote.")],
) -> None:
    """Put a checked backup in the place of the database; the old one is kept beside it."""
    from partsdb.jobs.upkeep import bring_back
    from partsdb.render.output import plain

    copied = bring_back(database_path(ctx), source)
    told = f"{copied.file} is {source} again"
    emit(ctx, copied, table=lambda width: told, rows=[plain(copied)])
    if copied.kept:
        note(ctx, f"the former database is kept as {copied.kept}")


def history(
    ctx: typer.Context,
    kind: Annotated[
        str, typer.Argument(help="A part's number; or part, supplier, machine, price list …")
    ] = "",
    name: Annotated[str, typer.Argument(help='One subject; a part may be "Maker|Number".')] = "",
    limit: Annotated[int, typer.Option("--limit", min=1, help="At most so many.")] = 50,
) -> None:
    """Show what was done, newest first; of a part also where each claim and price came from."""
    from partsdb.jobs.upkeep import history as events
    from partsdb.jobs.upkeep import named_kind, part_sources
    from partsdb.render.doctor import history_text
    from partsdb.render.output import plain

    with database(ctx):
        kind, name = named_kind(kind, name)
        rows = [plain(each) for each in events(kind, name, limit)]
        sources = [plain(each) for each in part_sources(kind, name)]
    data = {"events": rows} | ({"sources": sources} if kind == "part" and name else {})
    emit(ctx, data, table=lambda width: history_text(rows, width, sources), rows=sources or rows)
