"""The command that shows and settles how a supplier's lists are laid out."""

from pathlib import Path
from typing import Annotated, Any

import typer

from partsdb.cli.context import database, emit, note
from partsdb.errors import UsageError


def register(group: typer.Typer) -> None:
    """Add the command to the group of price lists."""
    group.command()(layout)


def layout(
    ctx: typer.Context,
    file: Annotated[
        Path | None, typer.Argument(help="A list to look at; without it, what is remembered.")
    ] = None,
    supplier: Annotated[str, typer.Option("--supplier", help="Whose lists.")] = "",
    column: Annotated[
        list[str] | None,
        typer.Option("--column", help="What a column means.", metavar="HEADING=MEANING"),
    ] = None,
    unit: Annotated[
        list[str] | None,
        typer.Option("--unit", help="What a unit of sale means.", metavar="WRITTEN=CODE"),
    ] = None,
    sheet: Annotated[str, typer.Option("--sheet", help="Only the tables of this sheet.")] = "",
    header_row: Annotated[
        int, typer.Option("--header-row", min=0, help="The row with the headings.")
    ] = 0,
    delimiter: Annotated[str, typer.Option("--delimiter", help="What sets columns apart.")] = "",
    encoding: Annotated[str, typer.Option("--encoding", help="How letters are written.")] = "",
    decimal_mark: Annotated[
        str, typer.Option("--decimal-mark", help='"," or ".", where no price tells.')
    ] = "",
    currency: Annotated[str, typer.Option("--currency", help="Where the list names none.")] = "",
    per: Annotated[
        str, typer.Option("--per", help='Prices are for so many units, or a "pack".')
    ] = "",
    save: Annotated[bool, typer.Option("--save", help="Remember it as settled.")] = False,
    forget: Annotated[
        int, typer.Option("--forget", min=0, help="Remember this layout no more.")
    ] = 0,
) -> None:
    """Show how a list would be read, column by column; settle and remember it with --save."""
    from partsdb.jobs.layout_wishes import LayoutAsk

    if not supplier:
        raise UsageError("whose list?", hint="--supplier NAME; partsdb supplier show lists them")
    if file is None:
        return _remembered(ctx, supplier, forget)
    ask = LayoutAsk(
        file, supplier, tuple(column or ()), tuple(unit or ()), sheet, header_row, delimiter,
        encoding, decimal_mark, currency, per, save,
    )  # fmt: skip
    return _look(ctx, ask)


def _look(ctx: typer.Context, ask: Any) -> None:
    from partsdb.jobs.layouts import look_at
    from partsdb.jobs.who import stamp
    from partsdb.render.layouts import column_rows, layout_text

    with database(ctx, write=ask.save, plans=True):
        answer = look_at(ask, stamp())
    emit(ctx, answer, table=lambda width: layout_text(answer, width),
         rows=column_rows(answer.tables))  # fmt: skip


def _remembered(ctx: typer.Context, supplier: str, number: int) -> None:
    from partsdb.jobs.layouts import forget, remembered
    from partsdb.jobs.who import stamp
    from partsdb.render.layouts import column_rows, remembered_text

    with database(ctx, write=bool(number), plans=True):
        if number:
            forget(supplier, number, stamp())
        named, found = remembered(supplier)
    if number:
        note(ctx, f"layout {number} is forgotten")
    rows = [row for each in found for row in column_rows(each.tables)]
    emit(ctx, {"supplier": named.name, "layouts": found},
         table=lambda width: remembered_text(named.name, found, width), rows=rows)  # fmt: skip
