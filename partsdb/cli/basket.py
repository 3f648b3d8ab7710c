"""The command that buys for several jobs at once."""

from typing import Annotated

import typer

from partsdb.cli.context import database, day, emit, iso_day, progress


def register(root: typer.Typer) -> None:
    """Add this command to the console script."""
    root.command()(basket)


def basket(
    ctx: typer.Context,
    jobs: Annotated[
        list[str],
        typer.Argument(
            help="RECIPE or MAKER|NUMBER, with :QTY and @DATE as needed.", metavar="JOB..."
        ),
    ],
    by: Annotated[
        str, typer.Option("--by", help="All needed here by that day.", metavar="DATE")
    ] = "",
    most_suppliers: Annotated[
        int | None, typer.Option("--most-suppliers", help="Order from so many at most.")
    ] = None,
    worst_grade: Annotated[
        str, typer.Option("--worst-grade", help="Buy nothing graded worse (A, B, C or D).")
    ] = "",
    supplier: Annotated[
        list[str] | None, typer.Option(help="Only from this supplier (may be given again).")
    ] = None,
    seconds: Annotated[float, typer.Option("--seconds", help="Search no longer.", min=0.1)] = 30.0,
) -> None:
    """What do I buy for all these jobs, from whom? The least landed total, proven."""
    from partsdb.jobs.basket import BasketAsk, basket
    from partsdb.render.basket import basket_rows, basket_text

    needed = iso_day(by, "--by") if by else ""
    ask = BasketAsk(
        tuple(jobs), day(ctx), needed, most_suppliers, worst_grade, tuple(supplier or ()), seconds
    )
    with database(ctx), progress(ctx) as said:
        answer = basket(ask, said)
    emit(
        ctx,
        answer,
        table=lambda width: basket_text(answer, width),
        rows=basket_rows(answer),
        cautions=answer.cautions,
    )  # fmt: skip
