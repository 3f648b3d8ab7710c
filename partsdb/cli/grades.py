"""Commands about grades: set, show, propose, scorecard."""

from typing import Annotated

import typer

from partsdb.cli.context import FromFile, database, day, emit
from partsdb.cli.parts import load

app = typer.Typer(help="Grades of suppliers, makers and parts.", no_args_is_help=True,
                  rich_markup_mode=None)  # fmt: skip


def register(root: typer.Typer) -> None:
    """Add these commands to the console script."""
    root.add_typer(app, name="grade")


@app.command("set")
def set_(
    ctx: typer.Context,
    kind: Annotated[str, typer.Argument(help="supplier, maker or part.")] = "",
    subject: Annotated[str, typer.Argument(help='Its name; of a part "Maker|Number".')] = "",
    grade: Annotated[str, typer.Argument(help="A, B, C, D or barred.")] = "",
    reason: Annotated[str, typer.Option("--reason", help="Why.")] = "",
    evidence: Annotated[str, typer.Option("--evidence", help="Bench sheet, count …")] = "",
    from_file: FromFile = None,
) -> None:
    """Set a grade, or all of a CSV file (subject_kind,subject,grade,reason,evidence)."""
    from partsdb.jobs.grade import set_grade
    from partsdb.render.output import plain
    from partsdb.render.parts import rows_text

    if from_file:
        load(ctx, "grades", from_file, {"subject": subject})
        return
    with database(ctx, write=True):
        answer = set_grade(kind, subject, grade, reason=reason, evidence=evidence)
    rows = [plain(count) for count in answer.files]
    emit(ctx, {"files": rows}, table=lambda width: rows_text(rows, width), rows=rows)


@app.command()
def show(
    ctx: typer.Context,
    kind: Annotated[str, typer.Argument(help="supplier, maker or part; without it, all.")] = "",
    subject: Annotated[str, typer.Argument(help="One subject: all its grades.")] = "",
) -> None:
    """Show the grades that stand, or all that one subject was ever given."""
    from partsdb.jobs.grade import grades_shown
    from partsdb.render.output import plain
    from partsdb.render.parts import rows_text

    with database(ctx):
        rows = [plain(each) for each in grades_shown(kind, subject)]
    emit(ctx, {"grades": rows}, table=lambda width: rows_text(rows, width, "no grades"), rows=rows)


@app.command()
def propose(
    ctx: typer.Context,
    kind: Annotated[str, typer.Argument(help="supplier, maker or part; without it, all.")] = "",
    subject: Annotated[str, typer.Argument(help='Its name; of a part "Maker|Number".')] = "",
) -> None:
    """Say which grade the bench's record speaks for, with the numbers; nothing is changed."""
    from partsdb.jobs.scorecard import proposals
    from partsdb.render.grades import proposal_rows, proposals_text

    with database(ctx):
        found = proposals(kind, subject, day(ctx))
    emit(
        ctx,
        {"proposals": found},
        table=lambda width: proposals_text(found, width),
        rows=proposal_rows(found),
    )


@app.command()
def scorecard(
    ctx: typer.Context,
    kind: Annotated[str, typer.Argument(help="supplier or maker.")] = "supplier",
) -> None:
    """Show how each has done, with intervals; a few good fittings do not outrank many."""
    from partsdb.jobs.scorecard import scorecard
    from partsdb.render.grades import score_rows, scorecard_text

    with database(ctx):
        found = scorecard(kind, day(ctx))
    emit(
        ctx,
        {"scorecard": score_rows(found)},
        table=lambda width: scorecard_text(found, width),
        rows=score_rows(found),
    )
