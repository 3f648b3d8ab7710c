"""The command that shows and settles how a supplier's lists are laid out."""

from pathlib import Path
from typing import Annotated, Any

import typer

from partsdb.cli.context import database, emit, note
from partsdb.errors import UsageError


def register(group: typer.Typer) -> None:
    """Add the command to the group of price lists."""
    group.command()(layout)


File = Annotated[
    Path | None, typer.Argument(help="A list to look at; without it, what is remembered.")
]
Supplier = Annotated[str, typer.Option("--supplier", help="Whose lists.")]
Columns = Annotated[
    list[str] | None,
    typer.Option("--column", help="What a column means.", metavar="HEADING=MEANING"),
]
Units = Annotated[
    list[str] | None,
    typer.Option("--unit", help="What a unit of sale means.", metavar="WRITTEN=CODE"),
]
Sheet = Annotated[str, typer.Option("--sheet", help="Only the tables of this sheet.")]
HeaderRow = Annotated[int, typer.Option("--header-row", min=0, help="The row with the headings.")]
Delimiter = Annotated[str, typer.Option("--delimiter", help="What sets columns apart.")]
Encoding = Annotated[str, typer.Option("--encoding", help="How letters are written.")]
Mark = Annotated[str, typer.Option("--decimal-mark", help='"," or ".", where no price tells.')]
Currency = Annotated[str, typer.Option("--currency", help="Where the list names none.")]
Per = Annotated[str, typer.Option("--per", help="Prices are for so many units, or pack.")]
Tax = Annotated[
    str, typer.Option("--tax", help="Percent of tax in the prices to take out; 0: they are net.")
]
Save = Annotated[bool, typer.Option("--save", help="Remember it as settled.")]
Forget = Annotated[int, typer.Option("--forget", min=0, help="Remember this layout no more.")]


def layout(
    ctx: typer.Context,
    file: File = None,
    supplier: Supplier = "",
    column: Columns = None,
    unit: Units = None,
    sheet: Sheet = "",
    header_row: HeaderRow = 0,
    delimiter: Delimiter = "",
    encoding: Encoding = "",
    decimal_mark: Mark = "",
    currency: Currency = "",
    per: Per = "",
    tax: Tax = "",
    save: Save = False,
    forget: Forget = 0,
) -> None:
    """Show how a list would be read, column by column; settle and remember it with --save."""
    from partsdb.jobs.layout_wishes import LayoutAsk

    if not supplier:
        raise UsageError("whose list?", hint="--supplier NAME; partsdb supplier show lists them")
    asked = (
        tuple(column or ()), tuple(unit or ()), sheet, header_row, delimiter, encoding,
        decimal_mark, currency, per, tax, save,
    )  # fmt: skip
    if file is not None and forget:
        raise UsageError("--forget takes no file", hint="leave the file out; it is not needed")
    if file is not None:
        return _look(ctx, LayoutAsk(file, supplier, *asked))
    if any(asked):
        raise UsageError("which list is that said of?", hint="name the file: layout FILE ...")
    return _remembered(ctx, supplier, forget)


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
