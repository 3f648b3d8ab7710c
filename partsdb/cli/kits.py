"""Commands about kits: what is in them."""

import typer

from partsdb.cli.context import FromFile, Maker, database, emit, note
from partsdb.cli.parts import Number, load
from partsdb.errors import UsageError

app = typer.Typer(help="Kits: what is in them.", no_args_is_help=True, rich_markup_mode=None)
contents = typer.Typer(help="The contents of a kit.", no_args_is_help=True, rich_markup_mode=None)
app.add_typer(contents, name="contents")


def register(root: typer.Typer) -> None:
    """Add these commands to the console script."""
    root.add_typer(app, name="kit")


@contents.command()
def show(ctx: typer.Context, number: Number, maker: Maker = None) -> None:
    """Show what a kit holds."""
    from partsdb.jobs.kits import kit_contents
    from partsdb.render.output import plain
    from partsdb.render.parts import rows_text

    with database(ctx):
        kit = kit_contents(number, maker)
    rows = [plain(item) for item in kit.items or ()]
    nothing = "no contents" if kit.items is not None else "not stated: ask before it is fitted"
    if kit.said:
        note(ctx, f"note: {kit.said}")
    cautions = () if kit.items is not None else (f"contents of {kit.number} are not stated",)
    emit(ctx, kit, table=lambda width: rows_text(rows, width, nothing), rows=rows,
         cautions=cautions)  # fmt: skip


@contents.command("set")
def set_(ctx: typer.Context, from_file: FromFile = None) -> None:
    """State what kits hold, from a CSV file (maker,number,item,role,quantity,kind …)."""
    if from_file is None:
        raise UsageError(
            "kit contents set needs --from FILE",
            hint="columns: maker,number,item,role,quantity,kind,material,size",
        )
    load(ctx, "kits", from_file, {})
