"""The three questions of the parts counter: instead, vet, rebuild cost."""

from pathlib import Path
from typing import Annotated, Any

import typer

from partsdb.cli.context import (
    Format,
    FromFile,
    Maker,
    database,
    day,
    emit,
    iso_day,
    note,
    note_codes,
    progress,
    settings,
    write_file,
)

rebuild = typer.Typer(
    help="Rebuild recipes and what they cost.", no_args_is_help=True, rich_markup_mode=None
)


def register(root: typer.Typer) -> None:
    """Add these commands to the console script."""
    root.command()(instead)
    root.command()(vet)
    root.add_typer(rebuild, name="rebuild")


def instead(
    ctx: typer.Context,
    number: Annotated[str, typer.Argument(help="The number that is called for.")],
    maker: Maker = None,
    machine: Annotated[str | None, typer.Option(help="The machine's model.")] = None,
    position: Annotated[str | None, typer.Option(help="The position on it.")] = None,
    qty: Annotated[int, typer.Option("--qty", help="How many are needed.")] = 1,
    by: Annotated[str, typer.Option("--by", help="Needed here by that day.", metavar="DATE")] = "",
    serial: Annotated[str, typer.Option("--serial", help="The machine's serial number.")] = "",
    bore_worn: Annotated[
        bool, typer.Option("--bore-worn", help="The block is worn or cracked: price the block.")
    ] = False,
    compose: Annotated[
        bool, typer.Option("--compose", help="Put the kit together from loose parts.")
    ] = False,
    why_not: Annotated[
        str, typer.Option("--why-not", help="Every check of this part ([Maker|]Number).")
    ] = "",
    top: Annotated[
        int | None, typer.Option("--top", min=1, help="Only so many, the best.", show_default=False)
    ] = None,
) -> None:
    """What may I fit instead? Candidates in order, each with its verdict and reasons."""
    from partsdb.jobs.instead import InsteadAsk, best_of, instead

    needed = iso_day(by, "--by") if by else None
    ask = InsteadAsk(
        number, day(ctx), maker, machine, position, qty, needed, serial, bore_worn, compose
    )
    if why_not:
        _why_not(ctx, ask, why_not)
        return
    with database(ctx):
        answer = instead(ask)
    _show_instead(ctx, answer if top is None else best_of(answer, top))


def _show_instead(ctx: typer.Context, answer: Any) -> None:
    from partsdb.render.instead import instead_rows, instead_text, not_shown_text

    emit(
        ctx,
        answer,
        table=lambda width: instead_text(answer, width),
        rows=instead_rows(answer),
        cautions=answer.cautions,
    )
    if settings(ctx).format is Format.CSV and answer.not_shown:
        note(ctx, not_shown_text(answer))


def _why_not(ctx: typer.Context, ask: Any, written: str) -> None:
    """Show every check of one part."""
    from partsdb.jobs.why_not import why_not
    from partsdb.render.instead import why_not_text
    from partsdb.render.output import plain

    with database(ctx):
        answer = why_not(ask, written)
    rows = plain(answer)["candidate"]["checks"]
    emit(
        ctx,
        answer,
        table=lambda width: why_not_text(answer, width),
        rows=rows,
        cautions=answer.cautions,
    )


def vet(
    ctx: typer.Context,
    file: Annotated[
        Path, typer.Argument(help="The list, or a batch's number; or the word answers.")
    ],
    sheet: Annotated[
        Path | None, typer.Argument(help="After answers: the question sheet that came back.")
    ] = None,
    supplier: Annotated[str | None, typer.Option(help="Who sent it.")] = None,
    machine: Annotated[
        list[str] | None, typer.Option(help="Judge for this model only (may be given again).")
    ] = None,
    questions: Annotated[
        Path | None,
        typer.Option("--questions", help="Write the sheet to send: .csv, .xlsx or .html."),
    ] = None,
    currency: Annotated[str, typer.Option(help="For prices that name none.")] = "",
    every: Annotated[bool, typer.Option("--all", help="Show every line.")] = False,
) -> None:
    """May I trust this list? Every line judged, nothing stored. vet answers SHEET: take answers."""
    from partsdb.jobs.vet import VetAsk, vet
    from partsdb.render.vet import vet_rows, vet_text

    if sheet is not None:
        _take_answers(ctx, file, sheet)
        return
    ask = VetAsk(file, day(ctx), supplier, tuple(machine or ()), currency)
    with database(ctx), progress(ctx) as said:
        answer = vet(ask, said)
    if questions:
        from partsdb.render.question_sheet import question_rows, question_sheet

        write_file(questions, question_sheet(answer, questions.suffix.lower()))
        asked = len(answer.asked)
        note(ctx, f"written: {questions}, {asked} question{'' if asked == 1 else 's'}")
        note_codes(ctx, questions, question_rows(answer))
    emit(
        ctx,
        answer,
        table=lambda width: vet_text(answer, width, all_lines=every),
        rows=vet_rows(answer),
        cautions=answer.cautions,
    )


def _take_answers(ctx: typer.Context, word: Path, sheet: Path) -> None:
    from partsdb.errors import UsageError
    from partsdb.jobs.question_answers import take_answers
    from partsdb.jobs.who import stamp
    from partsdb.render.output import plain
    from partsdb.render.parts import rows_text

    if str(word) != "answers":
        raise UsageError(f"vet takes one list, not {word} and {sheet}",
                         hint="to take answers in: partsdb vet answers SHEET")  # fmt: skip
    with database(ctx, write=True):
        taken = take_answers(sheet, stamp())
    row = {name: value for name, value in plain(taken).items() if name != "cautions"}
    emit(ctx, {"answers": row}, table=lambda width: rows_text([row], width), rows=[row],
         cautions=taken.cautions)  # fmt: skip


@rebuild.command()
def cost(
    ctx: typer.Context,
    recipe: Annotated[str, typer.Argument(help="The recipe's name.")],
    qty: Annotated[int, typer.Option("--qty", help="How many machines.")] = 1,
    supplier: Annotated[
        list[str] | None, typer.Option(help="Only from this supplier (may be given again).")
    ] = None,
    compose: Annotated[
        bool, typer.Option("--compose", help="With its kits from loose parts too.")
    ] = False,
) -> None:
    """What does this rebuild really cost, landed? Per supplier and for the best mix."""
    from partsdb.jobs.rebuild import RebuildAsk, rebuild_cost
    from partsdb.render.rebuild import rebuild_rows, rebuild_text

    with database(ctx):
        answer = rebuild_cost(RebuildAsk(recipe, day(ctx), qty, tuple(supplier or ()), compose))
    emit(
        ctx,
        answer,
        table=lambda width: rebuild_text(answer, width),
        rows=rebuild_rows(answer),
        cautions=answer.cautions,
    )


@rebuild.command()
def show(
    ctx: typer.Context,
    recipe: Annotated[str, typer.Argument(help="A recipe's name; without it, all.")] = "",
) -> None:
    """Show the recipes: parts, minutes, rates."""
    from partsdb.jobs.recipe_cards import recipe_rows
    from partsdb.render.rebuild import recipes_text

    with database(ctx):
        rows = recipe_rows(recipe)
    emit(ctx, {"recipes": rows}, table=lambda width: recipes_text(rows, width), rows=rows)


@rebuild.command()
def add(ctx: typer.Context, from_file: FromFile = None) -> None:
    """Add recipes from a CSV file (one row per part of a recipe)."""
    from partsdb.cli.parts import load
    from partsdb.errors import UsageError

    if from_file is None:
        raise UsageError("recipes come from a file", hint="give --from FILE, one row per part")
    load(ctx, "recipes", from_file, {})
