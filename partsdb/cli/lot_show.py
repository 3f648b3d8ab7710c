"""How a lot's card is put out by every command that ends with one."""

import typer

from partsdb.cli.context import emit


def show_lot(ctx: typer.Context, lot: object) -> None:
    """Put out the card of a lot in the format asked for."""
    from partsdb.render.lots import lot_text
    from partsdb.render.output import plain

    facts = plain(lot)
    flat = {name: value for name, value in facts.items() if isinstance(value, (str, int))}
    emit(ctx, {"lot": facts}, table=lambda width: lot_text(lot, width), rows=[flat])
