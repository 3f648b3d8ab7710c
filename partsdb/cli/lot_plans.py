"""Commands about inspection: a plan asked for, and how strictly each source is inspected."""

from typing import Annotated

import typer

from partsdb.cli.context import database, emit


def register(group: typer.Typer) -> None:
    """Add these commands to the group of lots."""
    group.command()(plan)
    group.command("switching")(switching)
    group.command()(resume)


def plan(
    ctx: typer.Context,
    units: Annotated[int, typer.Argument(help="How many are in the lot.", metavar="UNITS")],
    part: Annotated[str, typer.Option("--part", help="The part's number.")] = "",
    supplier: Annotated[str, typer.Option("--supplier", help="Who sends it.")] = "",
    level: Annotated[str, typer.Option("--level", help="I, II, III or S-1 to S-4.")] = "",
    aql: Annotated[str, typer.Option("--aql", help="0.065 to 6.5, in per cent.")] = "",
    severity: Annotated[
        str, typer.Option("--severity", help="normal, tightened or reduced.")
    ] = "normal",
) -> None:
    """How many of a lot to inspect, with the OC curve: for a part, by the standard, or c = 0."""
    from partsdb.jobs.lot_plans import PlanAsk, plan_card
    from partsdb.render.lots import plan_text
    from partsdb.render.output import plain

    with database(ctx):
        card = plan_card(PlanAsk(units, part, supplier, level, aql, severity))
    rows = [{"bad": bad, "accepted": chance} for bad, chance in card.curve]
    emit(ctx, {"plan": plain(card)}, table=lambda width: plan_text(card, width), rows=rows)


def switching(
    ctx: typer.Context,
    supplier: Annotated[str, typer.Option("--supplier", help="Only this one.")] = "",
) -> None:
    """How strictly each supplier is inspected, per class of parts, by its lots so far."""
    from partsdb.jobs.switching import sources

    with database(ctx):
        found = sources(supplier)
    _show(ctx, found)


def resume(
    ctx: typer.Context,
    supplier: Annotated[str, typer.Argument(help="Who was given up.")],
    number: Annotated[str, typer.Argument(help="A part of the class that is bought again.")],
    reason: Annotated[str, typer.Option("--reason", help="What they have done about it.")] = "",
) -> None:
    """Take up buying again from a source that was given up: its next lots are tightened."""
    from partsdb.jobs.switching import resume as take_up
    from partsdb.jobs.who import stamp

    with database(ctx, write=True):
        found = take_up(supplier, number, reason, stamp())
    _show(ctx, found)


def _show(ctx: typer.Context, found: object) -> None:
    from partsdb.render.output import plain
    from partsdb.render.parts import rows_text

    rows = plain(found)
    emit(
        ctx,
        {"sources": rows},
        table=lambda width: rows_text(rows, width, "no lot was inspected yet"),
        rows=rows,
    )
