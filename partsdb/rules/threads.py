"""Which threads seal in which: the decision table of pairs, and the ports of a part in a machine.

That two threads screw together is never evidence that they seal.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache

from partsdb import tables
from partsdb.rules.port_words import port_doubt
from partsdb.rules.thread_forms import (
    FEMALE,
    MALE,
    QUICK_COUPLING,
    Thread,
    difference_mm,
    other_gender,
    with_gender,
)
from partsdb.rules.thread_text import find_threads, parse
from partsdb.rules.verdict import GRAVITY, Check, Outcome

__all__ = ["Thread", "check_adapter", "check_ports", "find_threads", "pair", "parse"]

CHECK = "thread"
# Widest near miss of handbook 2.1 and 2.2 rows 19 and 20: M18x1.5 on 3/4-16 (1.05 mm), M22x1.5 on
# 7/8-14 (0.31 mm of pitch), G 1/2 on 7/8-14 (1.27 mm). Common practice, no source.
LOOKALIKE_MM = 1.3
LOOKALIKE_PITCH_MM = 0.35
SAME_PITCH_MM = 0.001
MOST_PORTS = 12

_CONFIRM_GENDER = "confirm which side is male and which female"


@dataclass(frozen=True, slots=True)
class _Rule:
    """One row of the decision table."""

    row: str
    males: frozenset[str]
    females: frozenset[str]
    relation: str
    sizes: frozenset[str]
    male_seats: frozenset[str]
    female_seats: frozenset[str]
    verdict: Check

    def covers(self, male: Thread, female: Thread, relation: str) -> bool:
        """Say whether this row decides the pair; "*" and an empty list stand for any."""
        return (
            self.relation == relation
            and (not self.sizes or male.size in self.sizes)
            and ("*" in self.males or (male.form in self.males and female.form in self.females))
            and (not self.male_seats or (male.seat or "-") in self.male_seats)
            and (not self.female_seats or (female.seat or "-") in self.female_seats)
        )


@cache
def _rules() -> tuple[_Rule, ...]:
    return tuple(_rule(row) for row in tables.rows("thread_pairs"))


def _rule(row: tables.Row) -> _Rule:
    def cells(text: str) -> frozenset[str]:
        return frozenset(part.strip() for part in text.split(";") if part.strip())

    relation, _, sizes = row["relation"].partition(" ")
    if relation == "look-alike":
        relation, sizes = row["relation"], ""
    return _Rule(
        row=row["row"],
        males=cells(row["male_form"]),
        females=cells(row["female_form"]),
        relation=relation,
        sizes=cells(sizes),
        male_seats=cells(row["male_seat"]),
        female_seats=cells(row["female_seat"]),
        verdict=Check(
            CHECK,
            Outcome(row["outcome"]),
            row["finding"],
            row["source"],
            row["code"],
            (row["condition"],) if row["condition"] else (),
        ),
    )


def pair(male: Thread, female: Thread) -> Check:
    """Return what comes of screwing `male` into `female`; the first row that covers them decides.

    A pair of one size that no row covers is `not shown`; source: handbook 2.2.
    """
    relation = _relation(male, female)
    rule = next((rule for rule in _rules() if rule.covers(male, female, relation)), None)
    names = f"{male.designation} in {female.designation}"
    if rule is None:
        text = f"{names}: the threads turn together, but no rule shows that these ends seal"
        return Check(CHECK, Outcome.NOT_SHOWN, text, "no rule of the pair is known")
    finding = rule.verdict
    text = f"{names}: {finding.text}"
    if finding.outcome is Outcome.FAILS:
        text += _tell_apart(male, female)
    return Check(CHECK, finding.outcome, text, finding.evidence, finding.code, finding.conditions)


def _relation(male: Thread, female: Thread) -> str:
    """Return "same", "look-alike same pitch", "look-alike" or "different"."""
    if male.size == female.size:
        return "same"
    if QUICK_COUPLING in (male.form, female.form):
        return "different"
    diameter_mm, pitch_mm = difference_mm(male, female)
    if diameter_mm > LOOKALIKE_MM or pitch_mm > LOOKALIKE_PITCH_MM:
        return "different"
    return "look-alike same pitch" if pitch_mm < SAME_PITCH_MM else "look-alike"


def _tell_apart(one: Thread, two: Thread) -> str:
    """Return the figures that tell the two apart on the bench."""
    if not one.pitch_mm or not two.pitch_mm:
        return ""
    if difference_mm(one, two) == (0, 0) and one.flank_deg == two.flank_deg:
        return " (the threads are the same: look at the seats)"
    return f" (tell them apart: {_figures(one)}; {_figures(two)})"


def _figures(thread: Thread) -> str:
    pitch = (
        f"{thread.threads_per_inch:g} threads per inch"
        if thread.threads_per_inch
        else f"pitch {thread.pitch_mm:g} mm"
    )
    taper = f", taper {thread.taper}" if thread.taper == "1/16" else ""
    name = thread.designation.removesuffix(f" {thread.gender}")
    return f"{name} {thread.diameter_mm:.3f} mm, {pitch}, {thread.flank_deg}° flanks{taper}"


def _joint(ours: Thread, theirs: Thread) -> Check:
    """Return what comes of joining two ends, whichever of them is the male one."""
    if ours.gender and ours.gender == theirs.gender:
        text = f"{ours.designation} on {theirs.designation}: both are {ours.gender}"
        return Check(CHECK, Outcome.FAILS, text, "geometry of the two threads", "NEEDS_ADAPTER")
    if ours.gender and theirs.gender:
        return pair(ours, theirs) if ours.gender == MALE else pair(theirs, ours)
    return _joint_of_unknown_gender(ours, theirs)


def _joint_of_unknown_gender(ours: Thread, theirs: Thread) -> Check:
    """Judge two ends of which one or both do not say their gender, as if they were opposite.

    What fails that way fails either way; what would seal needs the gender confirmed, and form and
    size must agree, else nothing is shown.
    """
    known = ours.gender or other_gender(theirs.gender)
    checks = []
    for gender in [known] if known else [MALE, FEMALE]:
        one, two = with_gender(ours, gender), with_gender(theirs, other_gender(gender))
        found = _joint(one, two)
        if GRAVITY[found.outcome] < GRAVITY[Outcome.NOT_SHOWN]:
            found = _with_gender_to_confirm(found, one, two)
        checks.append(found)
    return max(checks, key=lambda check: GRAVITY[check.outcome])


def _with_gender_to_confirm(found: Check, one: Thread, two: Thread) -> Check:
    if one.form == two.form or {one.form, two.form} == {"R", "Rc"}:
        return Check(
            CHECK,
            Outcome.MEETS_WITH_CONDITIONS,
            found.text,
            found.evidence,
            found.code,
            (*found.conditions, _CONFIRM_GENDER),
        )
    text = f"{found.text}, if the genders are so; they are not stated"
    return Check(CHECK, Outcome.NOT_SHOWN, text, found.evidence, "EVIDENCE_WEAK", found.conditions)


@dataclass(frozen=True, slots=True)
class _End:
    """One thread of a part, or what is not understood of it, and the statement that names it."""

    thread: Thread | str
    port: str


def check_ports(machine_ports: tuple[str, ...], part_ports: tuple[str, ...]) -> Check:
    """Return whether each port of the machine is met by a port of the part of its own.

    Ports are as written; those of the part that no port of the machine needs are left aside. A
    port that is not stated or not understood shows nothing. Source: handbook 2.2.
    """
    return _ports_met(machine_ports, part_ports)


# A price list asks the same few questions thousands of times.
@lru_cache(maxsize=8192)
def _ports_met(machine_ports: tuple[str, ...], part_ports: tuple[str, ...]) -> Check:
    if not machine_ports:
        return Check(CHECK, Outcome.NOT_SHOWN, "the machine's own threads are not stated")
    if not part_ports:
        wanted = ", ".join(machine_ports)
        text = f"the part's threads are not stated; the machine has {wanted}"
        return Check(CHECK, Outcome.NOT_SHOWN, text)
    ends = [_End(end, port) for port in part_ports for end in _ends(port)]
    if max(len(ends), len(machine_ports)) > MOST_PORTS:
        text = f"more than {MOST_PORTS} ports are stated: judge them one by one"
        return Check(CHECK, Outcome.NOT_SHOWN, text)
    ends += [_End("", "")] * (len(machine_ports) - len(ends))
    table = [[_meet(port, end) for end in ends] for port in machine_ports]
    return _together(_best_assignment(table))


def _ends(port: str) -> tuple[Thread | str, ...]:
    """Return the threads that one statement names ("1/4 NPT M x 1/4 NPT F"), else the statement."""
    return find_threads(port, bare=True) or (port,)


def _meet(port: str, end: _End) -> Check:
    ours = parse(port)
    if ours is None:
        return Check(CHECK, Outcome.NOT_SHOWN, f"the machine's port {port!r} is not understood")
    if isinstance(end.thread, str):
        what = f"the part's port {end.thread!r} is not understood" if end.thread else _NO_PORT
        return Check(CHECK, Outcome.NOT_SHOWN, f"for {ours.designation} {what}")
    return _doubted(_joint(ours, end.thread), port, end.port)


_NO_PORT = "no port is stated"


def _doubted(found: Check, *ports: str) -> Check:
    """Return the joint as not shown where words beside a thread are not understood."""
    doubts = [doubt for port in ports if (doubt := port_doubt(port))]
    if not doubts or found.outcome in (Outcome.FAILS, Outcome.NOT_SHOWN):
        return found
    text = f"{found.text}; but {' and '.join(doubts)} is not known: ask"
    return Check(CHECK, Outcome.NOT_SHOWN, text, found.evidence, "EVIDENCE_WEAK", found.conditions)


def _best_assignment(table: list[list[Check]]) -> list[Check]:
    """Return one check for each port of the machine so that the fewest are grave, each end once."""
    # A graver outcome outweighs any number of lighter ones: the worst decides the verdict.
    weight = {outcome: (MOST_PORTS + 1) ** rank if rank else 0 for outcome, rank in GRAVITY.items()}

    @cache
    def best(port: int, used: int) -> tuple[int, tuple[int, ...]]:
        if port == len(table):
            return 0, ()
        choices = []
        for end, check in enumerate(table[port]):
            if not used >> end & 1:
                cost, rest = best(port + 1, used | 1 << end)
                choices.append((cost + weight[check.outcome], (end, *rest)))
        return min(choices)

    return [row[end] for row, end in zip(table, best(0, 0)[1], strict=True)]


def _together(checks: list[Check]) -> Check:
    """Return the checks as one: the gravest outcome and code, all texts and conditions."""
    worst = max(checks, key=lambda check: GRAVITY[check.outcome])
    return Check(
        CHECK,
        worst.outcome,
        "; ".join(dict.fromkeys(check.text for check in checks)),
        "; ".join(dict.fromkeys(check.evidence for check in checks if check.evidence)),
        worst.code or next((check.code for check in checks if check.code), ""),
        tuple(dict.fromkeys(condition for check in checks for condition in check.conditions)),
    )


def check_adapter(machine_port: str, adapter_ports: tuple[str, str], part_port: str) -> Check:
    """Return what comes of joining through an adapter: each joint judged alone, the weaker decides.

    The adapter is a piece of the pressure chain, so its own rating stays a condition.
    Source: handbook 2.2 row 23.
    """
    near, far = adapter_ports
    ways = [
        _together([check_ports((machine_port,), (one,)), check_ports((part_port,), (two,))])
        for one, two in ((near, far), (far, near))
    ]
    found = min(ways, key=lambda check: GRAVITY[check.outcome])
    outcome = max(found.outcome, Outcome.MEETS_WITH_CONDITIONS, key=GRAVITY.__getitem__)
    return Check(
        CHECK,
        outcome,
        f"through an adapter: {found.text}",
        found.evidence,
        found.code,
        (*found.conditions, "the adapter's own pressure rating joins the chain"),
    )
