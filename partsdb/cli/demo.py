"""The demo: one command builds an invented shop and answers the three questions."""

from pathlib import Path
from typing import Annotated

import typer

from partsdb.cli.context import emit, settings


def register(root: typer.Typer) -> None:
    """Add the command to the console script."""
    root.command()(demo)


def demo(
    ctx: typer.Context,
    folder: Annotated[Path, typer.Argument(help="Where the demo shop is built.")] = Path(
        "partsdb-demo"
    ),
) -> None:
    """Build the demo shop and answer the three questions on it."""
    from partsdb.jobs.demo import DAY, demo
    from partsdb.render.demo import demo_text
    from partsdb.render.rebuild import rebuild_rows

    answer = demo(folder, settings(ctx).as_of or DAY)
    cautions = dict.fromkeys(
        (*answer.instead.cautions, *answer.vet.cautions, *answer.rebuild.cautions)
    )
    emit(
        ctx,
        answer,
        table=lambda width: demo_text(answer, width),
        rows=rebuild_rows(answer.rebuild),
        cautions=tuple(cautions),
    )
