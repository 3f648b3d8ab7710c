"""Commands about suppliers' price lists: read, show, withdraw."""

from pathlib import Path
from typing import Annotated

import typer

from partsdb.cli.context import database, day, emit, progress

app = typer.Typer(help="Suppliers' price lists.", no_args_is_help=True, rich_markup_mode=None)


def register(root: typer.Typer) -> None:
    """Add these commands to the console script."""
    root.add_typer(app, name="pricelist")


@app.command()
def read(
    ctx: typer.Context,
    file: Annotated[Path, typer.Argument(help="The list, of any kind that README.md names.")],
    supplier: Annotated[str, typer.Option(help="Who sent it.")],
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Only say what would be stored.")
    ] = False,
    currency: Annotated[str, typer.Option(help="For prices that name none.")] = "",
) -> None:
    """Take a list in as one batch, the whole or nothing; the same file twice changes nothing."""
    from partsdb.jobs.intake import IntakeAsk, intake
    from partsdb.jobs.who import stamp
    from partsdb.render.batch import batch_text

    ask = IntakeAsk(file, supplier, day(ctx), currency, dry_run)
    with database(ctx, write=not dry_run), progress(ctx) as said:
        answer = intake(ask, stamp(), said)
    row = {
        "batch": answer.batch,
        "supplier": answer.supplier,
        "file": answer.file,
        "offers": answer.offers,
        **answer.summary,
    }
    emit(ctx, answer, table=lambda width: batch_text(answer, width), rows=[row])


@app.command()
def show(
    ctx: typer.Context,
    batch: Annotated[int, typer.Argument(help="A batch's number; without it, all batches.")] = 0,
) -> None:
    """Show the batches, or one with every line and what it was taken for."""
    from partsdb.jobs.batches import batch_lines, batch_list
    from partsdb.render.parts import rows_text

    with database(ctx):
        rows = batch_lines(batch) if batch else batch_list()
    emit(
        ctx,
        {"lines" if batch else "batches": rows},
        table=lambda width: rows_text(rows, width, "no price lists"),
        rows=rows,
    )


@app.command()
def withdraw(
    ctx: typer.Context,
    batch: Annotated[int, typer.Argument(help="The batch's number.")],
    reason: Annotated[str, typer.Option("--reason", help="Why.")] = "",
) -> None:
    """Take a batch back whole: its offers, claims, edges and own parts."""
    from partsdb.jobs.intake import withdraw
    from partsdb.jobs.who import stamp
    from partsdb.render.parts import rows_text

    with database(ctx, write=True):
        gone = withdraw(batch, reason, stamp())
    row = {"batch": batch, **gone}
    emit(ctx, {"withdrawn": row}, table=lambda width: rows_text([row], width), rows=[row])
