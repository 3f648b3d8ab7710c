"""Commands about machines: add and show."""

from typing import Annotated, Any

import typer

from partsdb.cli.context import FromFile, Maker, database, day, emit
from partsdb.cli.parts import load
from partsdb.errors import UsageError

app = typer.Typer(help="Machines, their positions and what these demand.", no_args_is_help=True,
                  rich_markup_mode=None)  # fmt: skip


def register(root: typer.Typer) -> None:
    """Add these commands to the console script."""
    root.add_typer(app, name="machine")


@app.command()
def add(ctx: typer.Context, from_file: FromFile = None) -> None:
    """Add machines with their positions from a CSV file (maker,model,kind,position,role …)."""
    if from_file is None:
        raise UsageError(
            "machine add needs --from FILE",
            hint="one row for each position: maker,model,kind,position,role,pressure …",
        )
    load(ctx, "machines", from_file, {})


@app.command()
def show(
    ctx: typer.Context,
    model: Annotated[str, typer.Argument(help="The model; without it, all machines.")] = "",
    maker: Maker = None,
) -> None:
    """Show a machine's positions, what they demand and which parts they call for."""
    from partsdb.jobs.machine_cards import all_machines, machine_card
    from partsdb.render.parts import rows_text

    with database(ctx):
        found = [machine_card(model, maker)] if model else all_machines()
    if model:
        rows = [_row(position) for position in found[0].positions]
        emit(ctx, found[0], table=lambda width: rows_text(rows, width, "no positions"), rows=rows)
        return
    heads = [
        {"maker": m.maker, "model": m.model, "kind": m.kind, "serviced": m.serviced} for m in found
    ]
    emit(ctx, {"machines": heads}, table=lambda width: rows_text(heads, width, "no machines"),
         rows=heads)  # fmt: skip


def _row(position: Any) -> dict[str, Any]:
    return {
        "position": position.position,
        "role": position.role,
        "pressure": position.pressure_shown,
        "ports": position.ports,
        "sizes": position.sizes,
        "temp_c_max": position.temp_c_max,
        "parts": [f"{p.maker} {p.number} x{p.quantity}" for p in position.parts],
    }


@app.command()
def chain(
    ctx: typer.Context,
    model: Annotated[str, typer.Argument(help="The model.")],
    maker: Maker = None,
    fit: Annotated[
        list[str] | None,
        typer.Option(
            "--fit",
            help='A part fitted instead: number, "Maker|Number" or "position=number".',
        ),
    ] = None,
) -> None:
    """Show the pressure chain of a machine, weakest piece first."""
    from partsdb.jobs.chain import machine_chain
    from partsdb.render.chain import chain_rows, chain_text

    with database(ctx):
        answer = machine_chain(model, maker, fit or (), as_of=day(ctx))
    emit(ctx, answer, table=lambda width: chain_text(answer, width), rows=chain_rows(answer),
         cautions=answer.cautions)  # fmt: skip
