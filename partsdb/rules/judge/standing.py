"""How the part came to be proposed, what its kit brings, and how it is graded here."""

from __future__ import annotations

from partsdb.rules.equivalence import check_edge, check_path
from partsdb.rules.grading import check_grade
from partsdb.rules.judge.case import Case, key_of, to_confirm
from partsdb.rules.kits import check_contents, check_treatment, extra_words, missing_words
from partsdb.rules.verdict import Check, Outcome


def equivalence_check(case: Case) -> Check:
    """Return what is known about this part standing in for the one called for.

    Roles that their own rating, threads and sizes decide need no edge; all others do.
    """
    if case.is_very_part:
        return Check("equivalence", Outcome.MEETS, "the very part called for")
    if len(case.edges) > 1:
        return check_path(case.edges)
    if case.edges:
        return _one_edge(case)
    if case.role.judged_by == "facts":
        text = f"a {case.role.name} is judged by its own rating, threads and sizes"
        return Check("equivalence", Outcome.MEETS, text)
    called = (
        " ".join(key_of(case.original)) if case.original else f"the {case.role.name} called for"
    )
    text = f"nobody has shown that it may be fitted for {called}"
    return Check("equivalence", Outcome.NOT_SHOWN, text, code="EVIDENCE_WEAK")


def _one_edge(case: Case) -> Check:
    edge = case.edges[0]
    strays = edge.fitted != key_of(case.part) or (
        case.original is not None and edge.asked != key_of(case.original)
    )
    if strays:
        text = (
            f"what is known is about {' '.join(edge.fitted)} for {' '.join(edge.asked)}, "
            "not about this part here"
        )
        return Check("equivalence", Outcome.NOT_SHOWN, text, code="EVIDENCE_WEAK")
    return check_edge(edge, case.demand.role)


def contents_checks(case: Case) -> list[Check]:
    """Return what the kit brings of what the part called for brings, none where there is no kit."""
    if case.is_very_part:
        return []
    needed = case.original.contents if case.original else None
    if needed:
        treated = check_treatment(needed, case.part.contents) if case.part.contents else None
        found = to_confirm(
            check_contents(needed, case.part.contents),
            case.part.contents_evidence,
            "compare the kit's pieces with its list on arrival",
        )
        return [found, treated] if treated else [found]
    return [_uncompared(case)] if case.demand.role.endswith("kit") else []


def _uncompared(case: Case) -> Check:
    """Return what a kit comes to whose contents have nothing to be compared with."""
    what = "its contents are" if case.part.contents is None else "what must be in it is"
    text = f"{what} not stated, so its coverage cannot be told"
    return Check("contents", Outcome.NOT_SHOWN, text, code="KIT_INCOMPLETE")


def grade_checks(case: Case) -> list[Check]:
    """Return what the shop's grade allows, none where it has no grade."""
    return [check_grade(case.grade)] if case.grade else []


def gaps(case: Case) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what the kit lacks and what it brings beyond, in words; empty for the very part."""
    if case.is_very_part or case.original is None or not case.original.contents:
        return (), ()
    if case.part.contents is None:
        return (), ()
    needed, kit = case.original.contents, case.part.contents
    return missing_words(needed, kit), extra_words(needed, kit)
