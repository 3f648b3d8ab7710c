"""Commands about parts: add, show, find, supersede, claim, accept."""

from pathlib import Path
from typing import Annotated

import typer

from partsdb.cli.context import FromFile, Maker, database, day, emit, note, progress
from partsdb.errors import UsageError

app = typer.Typer(help="Parts: numbers, claims, and what stands in for what.", no_args_is_help=True,
                  rich_markup_mode=None)  # fmt: skip

Number = Annotated[str, typer.Argument(help="The number as printed.", metavar="NUMBER")]
Source = Annotated[str, typer.Option("--source", help="Document and page, or bench sheet.")]
Evidence = Annotated[
    str,
    typer.Option(
        "--evidence",
        help="maker's document, measured here, proven here, supplier's document,"
        " supplier's word, or inferred.",
    ),
]


def register(root: typer.Typer) -> None:
    """Add these commands to the console script."""
    root.add_typer(app, name="part")


def load(ctx: typer.Context, kind: str, path: Path | None, cells: dict[str, str | None]) -> None:
    """Take in a file, or what was typed, and say what came of it."""
    from partsdb.jobs.catalogue import load_file, take
    from partsdb.render.parts import rows_text

    if path and any(cells.values()):
        raise UsageError("give either --from FILE or the facts of one, not both")
    with database(ctx, write=True):
        answer = load_file(kind, path) if path else take(kind, cells, _options(ctx))
    rows = [
        {"file": f.file, "added": f.added, "same": f.same, "changed": f.changed}
        for f in answer.files
    ]
    emit(ctx, {"files": rows}, table=lambda width: rows_text(rows, width), rows=rows,
         cautions=answer.cautions)  # fmt: skip


# Columns of the shop's files that are typed under another name.
_TYPED_AS = {
    "old_maker": "maker", "new_maker": "maker", "asked_maker": "maker", "conditions": "condition",
    "note": "remark",
}  # fmt: skip


def _options(ctx: typer.Context) -> dict[str, str]:
    """Return the option by which each column is typed in this command: evidence by --evidence."""
    typed = {
        str(param.name): param.opts[0]
        for param in ctx.command.params
        if param.param_type_name == "option"
    }
    aliases = {column: typed[name] for column, name in _TYPED_AS.items() if name in typed}
    return typed | aliases


@app.command()
def add(
    ctx: typer.Context,
    number: Annotated[str, typer.Argument(help="The number as printed.")] = "",
    maker: Maker = None,
    description: Annotated[str, typer.Option("--description", help="What it is.")] = "",
    role: Annotated[str, typer.Option("--role", help="What it does: valve kit, hose …")] = "",
    from_file: FromFile = None,
) -> None:
    """Add a part, or every part of a CSV file (maker,number,description,role …)."""
    cells = {"number": number, "maker": maker, "description": description, "role": role}
    load(ctx, "parts", from_file, dict(cells))


@app.command()
def show(ctx: typer.Context, number: Number, maker: Maker = None) -> None:
    """Show all that is known about a part."""
    from partsdb.jobs.cards import part_card
    from partsdb.render.output import plain
    from partsdb.render.parts import part_text

    with database(ctx):
        card = part_card(number, maker, as_of=day(ctx))
    claims = [{"maker": card.maker, "number": card.number, **plain(c)} for c in card.claims]
    emit(ctx, card, table=lambda width: part_text(card, width), rows=claims)


@app.command()
def find(
    ctx: typer.Context,
    words: Annotated[list[str], typer.Argument(help="A number, its beginning, or words.")],
    maker: Maker = None,
    limit: Annotated[
        int | None, typer.Option("--limit", min=1, help="At most so many.", show_default=False)
    ] = None,
) -> None:
    """Find parts by a number, however written, or by words of their description."""
    from partsdb.jobs.found import found_parts
    from partsdb.render.parts import rows_text

    with database(ctx), progress(ctx) as told:
        found = found_parts(" ".join(words), maker=maker, limit=limit, progress=told)
    rows = [
        {"maker": p.maker, "number": p.number, "description": p.description, "role": p.role,
         "found_by": each.way}
        for each in found.parts if (p := each.part)
    ]  # fmt: skip
    emit(ctx, {"parts": rows}, table=lambda width: rows_text(rows, width), rows=rows)
    if found.is_cut:
        note(ctx, f"the first {len(rows)} are shown; --limit shows more")


@app.command()
def supersede(
    ctx: typer.Context,
    old: Annotated[str, typer.Argument(help="The old number.")] = "",
    new: Annotated[str, typer.Argument(help="The new number; leave out when there is none.")] = "",
    maker: Maker = None,
    from_date: Annotated[str, typer.Option("--from-date", help="From that day.")] = "",
    source: Source = "",
    from_file: FromFile = None,
) -> None:
    """Record that the maker replaced a number (or ended it without a successor)."""
    cells = {
        "old_number": old, "old_maker": maker, "new_number": new,
        "new_maker": maker if new else "", "from_date": from_date, "source": source,
    }  # fmt: skip
    load(ctx, "supersessions", from_file, dict(cells))


@app.command()
def claim(
    ctx: typer.Context,
    number: Annotated[str, typer.Argument(help="The number as printed.")] = "",
    kind: Annotated[
        str,
        typer.Argument(help="rating, temperature, material, port, dimension, fluid, standard."),
    ] = "",
    value: Annotated[str, typer.Argument(help='As written: "3300 psi".')] = "",
    maker: Maker = None,
    about: Annotated[str, typer.Option("--about", help="Which piece or port is meant.")] = "",
    basis: Annotated[str, typer.Option("--basis", help="working, proof or burst.")] = "",
    evidence: Evidence = "",
    source: Source = "",
    from_file: FromFile = None,
) -> None:
    """Record what somebody states about a part, with evidence and source."""
    cells = {
        "number": number, "maker": maker, "kind": kind, "value": value, "about": about,
        "basis": basis, "evidence": evidence, "source": source,
    }  # fmt: skip
    load(ctx, "claims", from_file, dict(cells))


@app.command()
def accept(
    ctx: typer.Context,
    asked: Annotated[str, typer.Argument(help="The number that is called for.")] = "",
    fitted: Annotated[str, typer.Argument(help="The number that may be fitted.")] = "",
    maker: Maker = None,
    fitted_maker: Annotated[str | None, typer.Option(help="Maker of the fitted part.")] = None,
    evidence: Evidence = "",
    source: Source = "",
    condition: Annotated[
        list[str] | None, typer.Option("--condition", help="Only if … (may be given again).")
    ] = None,
    state: Annotated[str, typer.Option(help="accepted, proposed or rejected.")] = "",
    from_file: FromFile = None,
) -> None:
    """Decide whether a part may stand in for another, and on what evidence."""
    from partsdb.jobs.deciding import decision_cells

    if from_file and not (asked or fitted):
        load(ctx, "stands_in", from_file, {})
        return
    with database(ctx):
        cells = decision_cells((asked, maker), (fitted, fitted_maker))
    cells |= {"state": state or "accepted", "evidence": evidence, "source": source}
    if condition:
        cells["conditions"] = "; ".join(condition)
    load(ctx, "stands_in", None, dict(cells))


@app.command()
def confirm(
    ctx: typer.Context,
    number: Number,
    maker: Maker = None,
    nominal: Annotated[
        bool,
        typer.Option("--nominal", help="The rating is a nominal one, rounded in another unit."),
    ] = False,
    reason: Annotated[str, typer.Option("--reason", help="What shows it.")] = "",
    withdraw: Annotated[bool, typer.Option("--withdraw", help="Take it back.")] = False,
) -> None:
    """Remember what a person has confirmed about a part, with who, when and why."""
    from partsdb.jobs.confirmations import confirm_nominal
    from partsdb.jobs.who import stamp
    from partsdb.render.parts import confirmed_text

    if not nominal:
        raise UsageError("say what is confirmed", hint='--nominal --reason "…"')
    with database(ctx, write=True):
        said = confirm_nominal(number, maker, reason, stamp(), withdraw=withdraw)
    emit(ctx, said, table=lambda width: confirmed_text(said, width))
