"""Commands about suppliers' price lists: read, show, changes, withdraw."""

from pathlib import Path
from typing import Annotated

import typer

from partsdb.cli import layouts, reviews
from partsdb.cli.context import database, day, emit, note, progress

app = typer.Typer(help="Suppliers' price lists.", no_args_is_help=True, rich_markup_mode=None)
layouts.register(app)
reviews.register(app)


def register(root: typer.Typer) -> None:
    """Add these commands to the console script."""
    root.add_typer(app, name="pricelist")


@app.command()
def read(
    ctx: typer.Context,
    file: Annotated[
        Path, typer.Argument(help="The list: a spreadsheet, text, PDF or trade document.")
    ],
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
    with database(ctx, write=not dry_run, plans=dry_run), progress(ctx) as said:
        answer = intake(ask, stamp(), said)
    row = {
        "batch": answer.batch,
        "supplier": answer.supplier,
        "file": answer.file,
        "offers": answer.offers,
        **answer.summary,
    }
    emit(ctx, answer, table=lambda width: batch_text(answer, width), rows=[row],
         cautions=answer.cautions)  # fmt: skip


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
def changes(
    ctx: typer.Context,
    batch: Annotated[int, typer.Argument(help="The newer batch's number.")],
    accept: Annotated[
        list[str] | None,
        typer.Option("--accept", help="Let the waiting line of this code count.", metavar="CODE"),
    ] = None,
    accept_all: Annotated[
        bool, typer.Option("--accept-all", help="Let every waiting line count.")
    ] = False,
) -> None:
    """What changed since the supplier's last list, and what of it waits for a person."""
    from partsdb.jobs.changes import accept_changes, changes_of
    from partsdb.jobs.who import stamp
    from partsdb.render.batch import changes_text
    from partsdb.render.output import plain

    with database(ctx, write=bool(accept or accept_all)):
        done = accept_changes(batch, accept or (), stamp()) if accept or accept_all else 0
        answer = changes_of(batch)
    if done:
        note(ctx, f"{done} {'line counts' if done == 1 else 'lines count'} from now on")
    rows = [plain(change) for change in answer.changes]
    emit(ctx, answer, table=lambda width: changes_text(answer, width), rows=rows)


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
