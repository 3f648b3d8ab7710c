"""Commands about suppliers, exchange rates and duty."""

from pathlib import Path
from typing import Annotated

import typer

from partsdb.cli.context import FromFile, database, day, emit
from partsdb.cli.parts import load

supplier = typer.Typer(help="Suppliers and their terms.", no_args_is_help=True,
                       rich_markup_mode=None)  # fmt: skip
fx = typer.Typer(help="Exchange rates.", no_args_is_help=True, rich_markup_mode=None)
duty = typer.Typer(help="Duty rates.", no_args_is_help=True, rich_markup_mode=None)

Source = Annotated[str, typer.Option("--source", help="Where it is published.")]


def register(root: typer.Typer) -> None:
    """Add these commands to the console script."""
    root.add_typer(supplier, name="supplier")
    root.add_typer(fx, name="fx")
    root.add_typer(duty, name="duty")


@supplier.command("add")
def add_supplier(
    ctx: typer.Context,
    name: Annotated[str, typer.Argument(help="The supplier's name.")] = "",
    own_brand: Annotated[str, typer.Option(help="Maker whose numbers its own are.")] = "",
    remark: Annotated[str, typer.Option("--note", help="What to know of it.")] = "",
    from_file: FromFile = None,
) -> None:
    """Add a supplier, or all of a CSV file (supplier,own_brand,note)."""
    load(ctx, "suppliers", from_file, {"supplier": name, "own_brand": own_brand, "note": remark})


@supplier.command("show")
def show_supplier(
    ctx: typer.Context,
    name: Annotated[str, typer.Argument(help="The supplier; without it, all.")] = "",
) -> None:
    """Show suppliers with their grade and the terms of the day."""
    from partsdb.jobs.supplier_cards import supplier_cards
    from partsdb.render.output import plain
    from partsdb.render.suppliers import suppliers_text

    with database(ctx):
        found = supplier_cards(day(ctx), name)
    rows = [
        {k: v for k, v in plain(s).items() if k != "terms"} | plain(s.terms or {}) for s in found
    ]
    emit(ctx, {"suppliers": found}, table=lambda width: suppliers_text(found, width), rows=rows)


@supplier.command("terms")
def show_terms(
    ctx: typer.Context,
    name: Annotated[str, typer.Argument(help="The supplier.")] = "",
    from_file: FromFile = None,
) -> None:
    """Show a supplier's terms, or take in a CSV file: terms, freight, fees, discounts, deposits."""
    from partsdb.errors import UsageError
    from partsdb.jobs.terms_cards import terms_answer
    from partsdb.render.suppliers import terms_rows, terms_text

    if from_file:
        load(ctx, "terms freight fees discounts deposits", from_file, {})
        return
    if not name:
        raise UsageError("name a supplier, or give --from FILE with terms")
    with database(ctx):
        answer = terms_answer(name, day(ctx))
    emit(ctx, answer, table=lambda width: terms_text(answer, width), rows=terms_rows(answer))


@fx.command("import")
def import_fx(
    ctx: typer.Context,
    file: Annotated[Path, typer.Argument(help="date,currency,per_eur,source; or a bank's table.")],
) -> None:
    """Take in published exchange rates (units of a currency for one euro), or those of customs."""
    load(ctx, "fx customs_rates", file, {})


@fx.command("show")
def show_fx(ctx: typer.Context) -> None:
    """Show the newest rate of every currency on the day (see --as-of), and those of customs."""
    from partsdb.jobs.supplier_cards import customs_rates_shown, fx_shown
    from partsdb.render.output import plain
    from partsdb.render.suppliers import rates_text

    with database(ctx):
        rows = [plain(each) for each in fx_shown(day(ctx))]
        customs = [plain(each) for each in customs_rates_shown(day(ctx))]
    data = {"as_of": day(ctx), "rates": rows, "customs_rates": customs}
    emit(ctx, data, table=lambda width: rates_text(rows, customs, width), rows=[*rows, *customs])


@duty.command("set")
def set_duty(
    ctx: typer.Context,
    heading: Annotated[str, typer.Argument(help="Tariff heading.")] = "",
    rate: Annotated[str, typer.Argument(help="0.037 or 3.7%.")] = "",
    origin: Annotated[str, typer.Option(help="Country of origin; left out, any.")] = "",
    valid_from: Annotated[str, typer.Option(help="From that day.", metavar="DATE")] = "",
    valid_to: Annotated[str, typer.Option(help="To that day.", metavar="DATE")] = "",
    source: Source = "",
    from_file: FromFile = None,
) -> None:
    """Set a duty rate, or all of a CSV file (heading,origin,rate,valid_from,valid_to,source)."""
    typed = any((heading, rate, origin, valid_to, source))
    cells = {
        "heading": heading, "origin": origin, "rate": rate,
        "valid_from": valid_from or (day(ctx) if typed else ""), "valid_to": valid_to,
        "source": source,
    }  # fmt: skip
    load(ctx, "duty", from_file, dict(cells))


@duty.command("show")
def show_duty(
    ctx: typer.Context,
    heading: Annotated[str, typer.Argument(help="Only headings that begin so.")] = "",
) -> None:
    """Show the duty rates."""
    from partsdb.jobs.supplier_cards import duty_shown
    from partsdb.render.output import plain
    from partsdb.render.parts import rows_text

    with database(ctx):
        rows = [plain(each) for each in duty_shown(heading)]
    emit(ctx, {"rates": rows}, table=lambda width: rows_text(rows, width, "no rates are stored"),
         rows=rows)  # fmt: skip
