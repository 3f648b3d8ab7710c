"""Commands about the bench's record: jobs, fittings, comebacks."""

from typing import Annotated

import typer

from partsdb.cli.context import Maker, database, day, emit

app = typer.Typer(help="Jobs at the bench: what was fitted, what came back.",
                  no_args_is_help=True, rich_markup_mode=None)  # fmt: skip

Job = Annotated[int, typer.Argument(help="The job's number.", metavar="JOB")]


def register(root: typer.Typer) -> None:
    """Add these commands to the console script."""
    root.add_typer(app, name="job")


def _show(ctx: typer.Context, job: object) -> None:
    from partsdb.render.lots import job_text
    from partsdb.render.output import plain

    facts = plain(job)
    emit(
        ctx,
        {"job": facts},
        table=lambda width: job_text(job, width),
        rows=facts["fittings"],
        cautions=facts["cautions"],
    )


@app.command("open")
def open_(
    ctx: typer.Context,
    machine: Annotated[str | None, typer.Option(help="The machine's model.")] = None,
    serial: Annotated[str, typer.Option("--serial", help="Its serial number.")] = "",
    customer: Annotated[str, typer.Option("--customer", help="Your reference for them.")] = "",
    note: Annotated[str, typer.Option("--note", help="What is wrong with it.")] = "",
) -> None:
    """Open a job on a machine."""
    from partsdb.jobs.bench_jobs import open_job
    from partsdb.jobs.who import stamp

    with database(ctx, write=True):
        card = open_job(machine, day(ctx), serial=serial, customer=customer, note=note, by=stamp())
    _show(ctx, card)


@app.command()
def fit(
    ctx: typer.Context,
    job: Job,
    number: Annotated[str, typer.Argument(help="The number that was put in.")],
    maker: Maker = None,
    lot: Annotated[str, typer.Option("--lot", help="The label of the bin it came from.")] = "",
    position: Annotated[str, typer.Option("--position", help="Where it was put in.")] = "",
    qty: Annotated[int, typer.Option("--qty", help="How many.")] = 1,
) -> None:
    """Record that a part was put in, out of which lot and where."""
    from partsdb.jobs.bench_jobs import FitAsk, fit
    from partsdb.jobs.who import stamp

    with database(ctx, write=True):
        card = fit(FitAsk(job, number, maker, lot, position, qty), day(ctx), stamp())
    _show(ctx, card)


@app.command()
def comeback(
    ctx: typer.Context,
    fitting: Annotated[int, typer.Argument(help="The fitting's number.", metavar="FITTING")],
    cause: Annotated[str, typer.Option("--cause", help="Its code; a wrong one lists them all.")],
    boundary: Annotated[
        bool | None,
        typer.Option("--boundary/--no-boundary", help="Did fluid get out under pressure?"),
    ] = None,
    note: Annotated[str, typer.Option("--note", help="What was seen.")] = "",
) -> None:
    """Record that something came back; a failed pressure boundary holds its lot at once."""
    from partsdb.jobs.bench_jobs import ComebackAsk, come_back
    from partsdb.jobs.who import stamp

    with database(ctx, write=True):
        card = come_back(ComebackAsk(fitting, cause, boundary, note), stamp())
    _show(ctx, card)


@app.command()
def explain(
    ctx: typer.Context,
    comeback: Annotated[int, typer.Argument(help="The comeback's number.", metavar="COMEBACK")],
    found: Annotated[str, typer.Option("--found", help="What it was, and how it is known.")] = "",
) -> None:
    """Record what was found out about a comeback; until then it blocks the part's grade."""
    from partsdb.jobs.bench_jobs import explain
    from partsdb.jobs.who import stamp

    with database(ctx, write=True):
        card = explain(comeback, found, stamp())
    _show(ctx, card)


@app.command()
def show(
    ctx: typer.Context,
    job: Annotated[int, typer.Argument(help="A job's number; without it, the newest.")] = 0,
) -> None:
    """Show one job with what was fitted and what came back, or the newest jobs."""
    from partsdb.jobs.bench_jobs import job_card, job_list
    from partsdb.render.parts import rows_text

    with database(ctx):
        if job:
            card = job_card(job)
        else:
            rows = job_list()
    if job:
        _show(ctx, card)
        return
    emit(ctx, {"jobs": rows}, table=lambda width: rows_text(rows, width, "no jobs"), rows=rows)
