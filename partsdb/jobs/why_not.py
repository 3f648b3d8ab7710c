"""Why not that one? Every check of one part, whether or not anything leads to it."""

from __future__ import annotations

from dataclasses import replace

from partsdb.jobs.adapters import Adapters
from partsdb.jobs.answers import PartRef, WhyNotAnswer
from partsdb.jobs.choices import Choice, choice_without_way, choices_for
from partsdb.jobs.instead import InsteadAsk, candidate_of, what_is_asked, where_in_words
from partsdb.jobs.leads import key_of, leads_from
from partsdb.jobs.named import asked_written
from partsdb.jobs.weigh import with_check
from partsdb.rules.cautions import cautions_for
from partsdb.rules.equivalence import one_way_only
from partsdb.rules.situations import situations_of
from partsdb.store.rows import PartRow


def _against_the_way(choice: Choice, asked: PartRow, day: str) -> Choice:
    """Return the choice with the check that what is known leads the other way, where it does."""
    back = [lead for lead in leads_from(choice.part, day=day)[0] if lead.part.id == asked.id]
    if not back or any(edge.state != "accepted" for edge in back[0].edges):
        return choice
    source = "; ".join(edge.source for edge in back[0].edges if edge.source)
    check = one_way_only(key_of(asked), key_of(choice.part), source)
    return replace(choice, weighed=with_check(choice.weighed, check))


_NO_WAY = (
    "nothing in the catalogue leads to it: no cross-reference and no supersession; it is weighed "
    "by its own facts alone"
)


def why_not(ask: InsteadAsk, written: str) -> WhyNotAnswer:
    """Return the part "Number" or "Maker|Number" with every check where the asked one goes.

    Raises NotFoundError or AmbiguousError for an unknown part, machine or position.
    """
    wanted = what_is_asked(ask)
    asked, positions = wanted.part, wanted.positions
    named = asked_written(written)
    part, said = named.part, (named.said,) if named.said else ()
    itself, others, notes = choices_for(asked, positions, ask.as_of, ask.serial)
    found = next((each for each in (itself, *others) if each.part.id == part.id), None)
    choice = found or _against_the_way(
        choice_without_way(part, asked, positions, ask.as_of), asked, ask.as_of
    )
    candidate = candidate_of(choice, ask, positions, Adapters(ask.as_of))
    demands = (row.demand for row in positions)
    return WhyNotAnswer(
        asked=PartRef(asked.maker, asked.number, asked.description, asked.role),
        positions=tuple(where_in_words(row) for row in positions),
        candidate=candidate,
        is_lead=found is not None,
        notes=(*wanted.notes, *said, *notes, *(() if found else (_NO_WAY,))),
        cautions=cautions_for(situations_of(demands, candidate.checks)),
    )
