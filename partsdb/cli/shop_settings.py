"""Commands about the shop's own figures: setting show, setting set."""

from typing import Annotated

import typer

from partsdb.cli.context import database, emit

app = typer.Typer(help="The figures that the shop sets for itself.", no_args_is_help=True,
                  rich_markup_mode=None)  # fmt: skip


def register(root: typer.Typer) -> None:
    """Add these commands to the console script."""
    root.add_typer(app, name="setting")


@app.command()
def show(ctx: typer.Context) -> None:
    """Show every setting with its default and what it means."""
    from partsdb.jobs.settings import settings_shown
    from partsdb.render.output import plain
    from partsdb.render.parts import rows_text

    with database(ctx):
        rows = [plain(each) for each in settings_shown()]
    emit(ctx, {"settings": rows}, table=lambda width: rows_text(rows, width), rows=rows)


@app.command("set")
def set_(
    ctx: typer.Context,
    name: Annotated[str, typer.Argument(help="Its name, see setting show.")],
    value: Annotated[str, typer.Argument(help="What it shall be.")],
) -> None:
    """Set one; the history keeps what it was."""
    from partsdb.jobs.settings import change_setting
    from partsdb.jobs.who import stamp
    from partsdb.render.output import plain
    from partsdb.render.parts import rows_text

    with database(ctx, write=True):
        rows = [plain(change_setting(name, value, stamp()))]
    emit(ctx, {"setting": rows[0]}, table=lambda width: rows_text(rows, width), rows=rows)
