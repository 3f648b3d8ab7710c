"""Builds the demo shop, the invented Fennel Quay boatyard, and asks the three questions of it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import partsdb
from partsdb.errors import InputRefusedError, UsageError
from partsdb.jobs.answers import InsteadAnswer
from partsdb.jobs.catalogue import LoadAnswer, load_shop
from partsdb.jobs.instead import InsteadAsk, instead
from partsdb.jobs.intake import IntakeAsk, intake
from partsdb.jobs.list_answers import BatchAnswer, VetAnswer
from partsdb.jobs.rebuild import RebuildAsk, rebuild_cost
from partsdb.jobs.rebuild_answers import RebuildAnswer
from partsdb.jobs.vet import VetAsk, vet
from partsdb.jobs.who import stamp_in_story
from partsdb.store import events
from partsdb.store.connect import init_database, open_database

# The demo's prices and rates hold on this day; it is part of the story, not the clock.
DAY = "2026-11-20"
LISTS = (
    ("Kestrow", "kestrow_preisliste.csv"),
    ("Saltreeve", "saltreeve_2026q4.xlsx"),
    ("Ninefold", "ninefold_pricelist.csv"),
)
_MARK = "demo"


@dataclass(frozen=True, slots=True)
class DemoAnswer:
    """What was loaded, and the three answers."""

    database: str
    loaded: LoadAnswer
    batches: tuple[BatchAnswer, ...]
    instead: InsteadAnswer
    vet: VetAnswer
    rebuild: RebuildAnswer


def demo(folder: Path, as_of: str = DAY) -> DemoAnswer:
    """Build the demo shop in `folder` (anew, when it is a demo shop already) and ask.

    In the story everything was entered on the day `as_of`, so that it is known on that day.
    Raises UsageError when something else lies there, InputRefusedError without the fixtures.
    """
    fixtures, by = _fixtures(), stamp_in_story(as_of)
    database = folder / "demo.db"
    _make_way(database)
    init_database(database)
    with open_database(database, write=True):
        loaded = load_shop(fixtures / "shop", by)
        events.set_setting(_MARK, "yes", by=by)
    batches = []
    for supplier, name in LISTS:
        with open_database(database, write=True):
            ask = IntakeAsk(fixtures / "lists" / name, supplier, as_of)
            batches.append(intake(ask, by))
    with open_database(database):
        return DemoAnswer(
            database=str(database),
            loaded=loaded,
            batches=tuple(batches),
            instead=instead(InsteadAsk("24-1180", as_of, machine="Q33")),
            vet=vet(VetAsk(fixtures / "lists" / LISTS[1][1], as_of, LISTS[1][0])),
            rebuild=rebuild_cost(RebuildAsk("Q33 bypass rebuild", as_of)),
        )


def _fixtures() -> Path:
    found = Path(partsdb.__file__).resolve().parents[1] / "fixtures"
    if not (found / "shop").is_dir():
        raise InputRefusedError(
            "the demo's data is not here",
            place=str(found),
            hint="run the demo from a checkout installed with: pip install -e .",
        )
    return found


def _make_way(database: Path) -> None:
    """Remove an earlier demo, and nothing else."""
    if database.parent.exists() and not database.parent.is_dir():
        raise UsageError(f"{database.parent} is a file", hint="name a folder for the demo")
    if not database.exists():
        return
    with open_database(database):
        is_demo = events.setting(_MARK) == "yes"
    if not is_demo:
        raise UsageError(
            f"{database} is not a demo and is left as it is", hint="name another folder"
        )
    for ending in ("", "-wal", "-shm", "-journal"):
        database.with_name(database.name + ending).unlink(missing_ok=True)
