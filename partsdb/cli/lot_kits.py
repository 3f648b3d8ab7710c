"""Commands about lots inside lots: kits of our own bench, and what received kits hold."""

from typing import Annotated

import typer

from partsdb.cli.context import Maker, database, day
from partsdb.cli.lot_show import show_lot
from partsdb.errors import UsageError


def register(group: typer.Typer) -> None:
    """Add these commands to the group of lots."""
    group.command()(assemble)
    group.command("take-apart")(take_apart)
    group.command()(contains)


def assemble(
    ctx: typer.Context,
    number: Annotated[str, typer.Argument(help="The kit's number.")],
    units: Annotated[int, typer.Argument(help="How many kits.", metavar="UNITS")],
    taken: Annotated[
        list[str] | None,
        typer.Option("--from", help="A lot of its pieces, LOT or LOT:UNITS.", metavar="LOT"),
    ] = None,
    maker: Maker = None,
    label: Annotated[str, typer.Option("--lot", help="The label of the new lot.")] = "",
    place: Annotated[str, typer.Option("--bin", help="Where it is put.")] = "",
) -> None:
    """Put kits together out of component lots, as a lot of its own that a recall can find."""
    from partsdb.jobs.kit_lots import AssembleAsk
    from partsdb.jobs.lots import put_together
    from partsdb.jobs.who import stamp

    takes = tuple(_take(each) for each in taken or ())
    with database(ctx, write=True):
        ask = AssembleAsk(number, units, takes, day(ctx), maker, label, place)
        card = put_together(ask, stamp())
    show_lot(ctx, card)


def _take(text: str) -> tuple[str, int]:
    """Read LOT or LOT:UNITS; a label may hold colons, so only a count behind the last is one."""
    label, mark, count = text.rpartition(":")
    if mark and count.isascii() and count.isdecimal():
        if not (int(count) and label.strip()):
            raise UsageError(f"--from {text!r} takes nothing", hint="write LOT:12")
        return label.strip(), int(count)
    return text.strip(), 0


def take_apart(
    ctx: typer.Context,
    lot: Annotated[str, typer.Argument(help="The lot of kits put together here.", metavar="LOT")],
    reason: Annotated[str, typer.Option("--reason", help="Why, for the history.")] = "",
) -> None:
    """Take an assembly back whole: its pieces go back to their lots, if no kit was used since."""
    from partsdb.jobs.lots import taken_apart
    from partsdb.jobs.who import stamp

    with database(ctx, write=True):
        card = taken_apart(lot, reason, stamp())
    show_lot(ctx, card)


def contains(
    ctx: typer.Context,
    lot: Annotated[str, typer.Argument(help="The lot of kits.", metavar="LOT")],
    number: Annotated[str, typer.Argument(help="The number of a piece in them.")],
    label: Annotated[str, typer.Option("--lot", help="The lot of that piece.")],
    maker: Maker = None,
    units: Annotated[int, typer.Option("--units", help="In all kits; else one each.")] = 0,
    source: Annotated[str, typer.Option("--source", help="The paper that says so.")] = "",
) -> None:
    """Record which lot of a piece is inside a lot of kits, as its papers say."""
    from partsdb.jobs.kit_lots import HoldsAsk
    from partsdb.jobs.lots import state_inside
    from partsdb.jobs.who import stamp

    with database(ctx, write=True):
        card = state_inside(HoldsAsk(lot, number, label, units, maker, source), stamp())
    show_lot(ctx, card)
