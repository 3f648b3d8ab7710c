"""Commands about lots: receive, inspect, show, hold, release, count, write off, return, trace."""

from pathlib import Path
from typing import Annotated

import typer

from partsdb.cli import lot_kits, lot_plans
from partsdb.cli.context import Maker, database, day, emit, iso_day, note, write_file
from partsdb.cli.lot_show import show_lot
from partsdb.errors import UsageError

app = typer.Typer(help="Goods received: lots, their inspection, what is on hand, and recalls.",
                  no_args_is_help=True, rich_markup_mode=None)  # fmt: skip

Label = Annotated[str, typer.Argument(help="The label on the bin.", metavar="LOT")]
Labels = Annotated[list[str], typer.Argument(help="The labels on the bins.", metavar="LOT...")]
Reason = Annotated[str, typer.Option("--reason", help="Why.")]
Units = Annotated[int, typer.Argument(help="How many.", metavar="UNITS")]


def register(root: typer.Typer) -> None:
    """Add these commands to the console script."""
    lot_plans.register(app)
    lot_kits.register(app)
    root.add_typer(app, name="lot")
    root.command()(unknowns)


def unknowns(
    ctx: typer.Context,
    harm: Annotated[
        int,
        typer.Option(
            "--harm", min=0, max=4, help="Only this: 1 injury, 2 leak, 3 wear, 4 no trace."
        ),
    ] = 0,
    every: Annotated[bool, typer.Option("--all", help="Show every row.")] = False,
) -> None:
    """What the shop does not know about the parts that it uses, by the harm that may come of it."""
    from partsdb.jobs.unknowns import unknowns
    from partsdb.render.output import plain
    from partsdb.render.unknowns import unknowns_text

    with database(ctx):
        found = unknowns(harm, as_of=day(ctx))
    emit(
        ctx,
        {"unknowns": found},
        table=lambda width: unknowns_text(found, width, every=every),
        rows=[plain(row) for row in found],
    )


@app.command()
def receive(
    ctx: typer.Context,
    number: Annotated[str, typer.Argument(help="The part's number.")],
    units: Units,
    supplier: Annotated[str, typer.Option(help="Who sent it.")],
    maker: Maker = None,
    label: Annotated[str, typer.Option("--lot", help="The lot label on the goods.")] = "",
    order: Annotated[str, typer.Option("--order", help="Our order and its line.")] = "",
    place: Annotated[str, typer.Option("--bin", help="Where it is put.")] = "",
    due: Annotated[str, typer.Option("--due", help="Promised for.", metavar="DATE")] = "",
    ordered: Annotated[int | None, typer.Option(help="How many were ordered.")] = None,
    document: Annotated[str, typer.Option(help="The certificate that came with it.")] = "",
    until: Annotated[
        str, typer.Option("--document-until", help="When it expires.", metavar="DATE")
    ] = "",
) -> None:
    """Take goods in as a lot of their own; says how many to inspect and what to measure."""
    from partsdb.jobs.lots import ReceiveAsk, receive
    from partsdb.jobs.who import stamp

    ask = ReceiveAsk(
        number, supplier, units, day(ctx), maker, label, order, place,
        iso_day(due, "--due") if due else None, ordered, document,
        iso_day(until, "--document-until") if until else None,
    )  # fmt: skip
    with database(ctx, write=True):
        card = receive(ask, stamp())
    show_lot(ctx, card)


@app.command()
def inspect(
    ctx: typer.Context,
    lot: Label,
    sampled: Annotated[int, typer.Option("--sampled", help="How many were inspected.")],
    rejected: Annotated[int, typer.Option("--rejected", help="How many of them failed.")],
    found: Annotated[
        list[str] | None,
        typer.Option("--found", help='What failed, as "hardness of the ball=1".'),
    ] = None,
    note: Annotated[str, typer.Option("--note", help="Bench sheet, remarks.")] = "",
) -> None:
    """Record an inspection; it decides: accept, hold, or return."""
    from partsdb.jobs.lots import InspectAsk, inspect
    from partsdb.jobs.who import stamp

    ask = InspectAsk(lot, sampled, rejected, dict(map(_counted, found or ())), note)
    with database(ctx, write=True):
        card = inspect(ask, stamp())
    show_lot(ctx, card)


def _counted(text: str) -> tuple[str, int]:
    check, mark, count = text.rpartition("=")
    if not (mark and check.strip() and count.strip().isdecimal()):
        raise UsageError(f"--found {text!r} cannot be read", hint='write "thread=2"')
    return check.strip(), int(count)


@app.command()
def show(
    ctx: typer.Context,
    lot: Annotated[str, typer.Argument(help="A label; without it, all lots.", metavar="LOT")] = "",
    part: Annotated[str, typer.Option("--part", help="Only lots of this number.")] = "",
    supplier: Annotated[str, typer.Option("--supplier", help="Only from this supplier.")] = "",
    state: Annotated[str, typer.Option("--state", help="held, accepted, returned, barred.")] = "",
) -> None:
    """Show one lot with everything that happened to it, or the lots."""
    from partsdb.jobs.lots import lot_card, lot_list
    from partsdb.render.parts import rows_text

    with database(ctx):
        if lot:
            card = lot_card(lot)
        else:
            rows = lot_list(part, supplier, state=state)
    if lot:
        show_lot(ctx, card)
        return
    emit(ctx, {"lots": rows}, table=lambda width: rows_text(rows, width, "no lots"), rows=rows)


def _change(ctx: typer.Context, lots: list[str], action: str, reason: str) -> None:
    from partsdb.jobs.lots import change_state
    from partsdb.jobs.who import stamp
    from partsdb.render.parts import rows_text

    with database(ctx, write=True):
        cards = change_state(lots, action, reason, stamp())
    rows = [
        {"lot": card.lot, "part": card.part, "state": card.state, "on_hand": card.on_hand}
        for card in cards
    ]
    emit(ctx, {"lots": rows}, table=lambda width: rows_text(rows, width), rows=rows)


@app.command()
def hold(ctx: typer.Context, lots: Labels, reason: Reason = "") -> None:
    """Put lots on hold: nothing of them is offered or fitted."""
    _change(ctx, lots, "hold", reason)


@app.command()
def bar(ctx: typer.Context, lots: Labels, reason: Reason = "") -> None:
    """Bar lots: a recall, a lie, a failure."""
    _change(ctx, lots, "bar", reason)


@app.command()
def release(ctx: typer.Context, lots: Labels, reason: Reason = "") -> None:
    """Free lots that were inspected and held, with a reason."""
    _change(ctx, lots, "release", reason)


def _take_out(ctx: typer.Context, lot: str, kind: str, units: int, reason: str) -> None:
    from partsdb.jobs.lots import take_out
    from partsdb.jobs.who import stamp

    with database(ctx, write=True):
        card = take_out(lot, kind, units, reason, stamp())
    show_lot(ctx, card)


@app.command("write-off")
def write_off(ctx: typer.Context, lot: Label, units: Units, reason: Reason = "") -> None:
    """Write units off: scrapped, cut open, lost."""
    _take_out(ctx, lot, "written off", units, reason)


@app.command("return")
def return_(ctx: typer.Context, lot: Label, units: Units, reason: Reason = "") -> None:
    """Send units back to the supplier."""
    _take_out(ctx, lot, "returned", units, reason)


@app.command()
def count(ctx: typer.Context, lot: Label, units: Units) -> None:
    """Record a count of the bin; what it finds short of the books is reported as the gap."""
    from partsdb.jobs.lots import count
    from partsdb.jobs.who import stamp

    with database(ctx, write=True):
        card = count(lot, units, stamp())
    show_lot(ctx, card)


@app.command()
def trace(
    ctx: typer.Context,
    lot: Annotated[str, typer.Argument(help="A lot's label.", metavar="LOT")] = "",
    part: Annotated[str, typer.Option("--part", help="Every lot of this number.")] = "",
    maker: Maker = None,
    supplier: Annotated[str, typer.Option("--supplier", help="Everything from them.")] = "",
    since: Annotated[str, typer.Option("--since", help="Received from.", metavar="DATE")] = "",
    until: Annotated[str, typer.Option("--until", help="Received up to.", metavar="DATE")] = "",
    claim: Annotated[int, typer.Option("--claim", help="A claim that turned out false.")] = 0,
    serial: Annotated[str, typer.Option("--serial", help="What is in this machine.")] = "",
    machine: Annotated[str, typer.Option("--machine", help="The model of that serial.")] = "",
    reason: Reason = "",
    remedy: Annotated[str, typer.Option("--remedy", help="What they get, for the sheet.")] = "",
    contact: Annotated[str, typer.Option("--contact", help="Whom they reach, for the sheet.")] = "",
    html: Annotated[
        Path | None, typer.Option("--html", help="Write the sheet to print there.", metavar="FILE")
    ] = None,
) -> None:
    """Recall: from a lot to machines, serials, customers and stock; nothing is changed."""
    from partsdb.jobs.trace import TraceAsk, trace_recall
    from partsdb.render.trace import trace_html, trace_rows, trace_text

    ask = TraceAsk(
        day(ctx), lot, part, maker, supplier, iso_day(since, "--since") if since else "",
        iso_day(until, "--until") if until else "", claim, serial, machine, reason,
        remedy, contact,
    )  # fmt: skip
    with database(ctx):
        answer = trace_recall(ask)
    if html:
        write_file(html, trace_html(answer))
        note(ctx, f"written: {html}")
    emit(
        ctx,
        answer,
        table=lambda width: trace_text(answer, width),
        rows=trace_rows(answer),
        cautions=answer.cautions,
    )
