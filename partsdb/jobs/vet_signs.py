"""Signs of a bad list, the questions to send back, and what the list comes to in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from partsdb.jobs.list_answers import Sign
from partsdb.jobs.vet_judged import Judged, fitting
from partsdb.jobs.vet_price_signs import ListSign
from partsdb.matching.readings import ReadingKind
from partsdb.rules.counting import counted
from partsdb.rules.facts import ClaimKind
from partsdb.rules.roles import role_named
from partsdb.rules.verdict import Outcome, Verdict

EXAMPLES = 5
# What makes a list's ratings not to be trusted at all.
GRAVE = frozenset(
    (
        "pressure too low",
        "burst quoted as rating",
        "bar and psi muddled",
        "thread look-alike",
        "rating above the maker's own",
        "softer material",
    )
)
CHEAP = "price far below the others"
# Common practice, no source: a few lines may be slips, a list full of one figure is made up.
_ALL_EQUAL_FROM = 10


@dataclass(frozen=True, slots=True)
class _Rule:
    """One sign: its name, why it matters, what to ask, and which lines show it."""

    sign: str
    why: str
    question: str
    shows: Callable[[Judged], bool]


def _code(*codes: str) -> Callable[[Judged], bool]:
    return lambda line: any(c.code in codes and c.outcome is not Outcome.MEETS for c in line.checks)


def _has_rating(line: Judged) -> bool:
    return any(claim.kind is ClaimKind.RATING for claim in line.line.claims)


def _unrated(line: Judged) -> bool:
    """Say whether the line sells a piece that holds pressure and nothing states how much.

    Of the very part the catalogue may know it; of a line to review, one of the parts it may be.
    """
    reading = line.line.reading
    if line.unrated:
        return True
    unknown = reading.kind in (ReadingKind.REPLACEMENT, ReadingKind.NEW_PART) or (
        reading.kind is ReadingKind.TO_REVIEW and not reading.candidates and not _refused(line)
    )
    return unknown and role_named(line.role).holds_pressure and not _has_rating(line)


def _failing(check: str) -> Callable[[Judged], bool]:
    return lambda line: any(
        c.check.startswith(check) and c.outcome is Outcome.FAILS for c in line.checks
    )


def _replaces(line: Judged) -> bool:
    return line.line.reading.kind is ReadingKind.REPLACEMENT


def _refused(line: Judged) -> bool:
    return any(evidence.name == "refused" for evidence in line.line.reading.evidence)


_RULES = (
    _Rule(
        "pressure too low",
        "the part would be under the working pressure of a machine we service",
        "Which pressure is this part made for, and which document says so?",
        lambda line: _failing("pressure")(line),
    ),
    _Rule(
        "burst quoted as rating",
        "a burst pressure is never a working pressure",
        "State the working pressure, with the document; burst figures are not accepted.",
        _code("BURST_ONLY"),
    ),
    _Rule(
        "rating above the maker's own",
        "a rating that rose without a document is a guess",
        "Which document raises the rating above the maker's own?",
        _code("RAISED_RATING"),
    ),
    _Rule(
        "rating rounded up",
        "a rating is never rounded up: the maker's exact figure counts",
        "State the rating exactly as the maker prints it.",
        _code("ROUNDED_UP"),
    ),
    _Rule(
        "bar and psi muddled",
        "one of the two figures is wrong by a factor of 14.5",
        "Is the rating in bar or in psi?",
        _code("UNIT_MUDDLE"),
    ),
    _Rule(
        "rating missing",
        "an unknown rating is not a pass",
        "State the working pressure and the document it is from.",
        _unrated,
    ),
    _Rule(
        "softer material",
        "a softer ball or seat wears out and lets the pressure by",
        "Of which grade are ball and seat made?",
        _code("MATERIAL_DOWNGRADE"),
    ),
    _Rule(
        "material unnamed",
        "carbide without a grade may be anything",
        "Name the material and grade of ball and seat.",
        lambda line: (
            _replaces(line)
            and any(
                c.check in ("material ball", "material seat") and c.outcome is Outcome.NOT_SHOWN
                for c in line.checks
            )
        ),
    ),
    _Rule(
        "thread look-alike",
        "it screws in and does not seal, or pulls out",
        "Which thread standard is it: NPT, G, metric or UN?",
        _code("THREAD_DANGER", "THREAD_NO_SEAL"),
    ),
    _Rule(
        "kit incomplete",
        "what is missing must be bought as well, or the kit cannot stand in",
        "List the contents of the kit, piece by piece.",
        lambda line: (
            _replaces(line)
            and any(c.code == "KIT_INCOMPLETE" and ", missing " in c.text for c in line.checks)
        ),
    ),
    _Rule(
        "kit contents unstated",
        "what is in the kit cannot be compared",
        "List the contents of the kit, piece by piece.",
        lambda line: (
            _replaces(line)
            and any(
                c.code == "KIT_INCOMPLETE" and c.outcome is Outcome.NOT_SHOWN for c in line.checks
            )
        ),
    ),
    _Rule(
        "same code, another price",
        "one of the prices is wrong, or two parts share a code",
        "Which price holds?",
        _code("DUPLICATE_CODE"),
    ),
    _Rule(
        CHEAP,
        "too cheap to be what it claims: demand the certificate",
        "Send the rating certificate, and say who makes it.",
        _code("PRICE_LOW"),
    ),
    _Rule(
        "digits lost",
        "the code cannot be read and no price of it is taken",
        "Send these codes again as text.",
        _refused,
    ),
    _Rule("barred here", "the shop has barred it", "", _code("SUPPLIER_BLOCKED")),
)


def signs_of(lines: Sequence[Judged]) -> tuple[Sign, ...]:
    """Return the signs that the list shows, each with its count and examples."""
    found = []
    for rule in _RULES:
        showing = [line for line in lines if rule.shows(line)]
        if showing:
            found.append(Sign(rule.sign, len(showing), _why(rule, showing), _places(showing)))
    return (*found, *_all_equal(lines))


def _why(rule: _Rule, showing: Sequence[Judged]) -> str:
    """Return why the sign matters; of prices also how many each was held against."""
    counts = [line.compared for line in showing if line.compared]
    if rule.sign != CHEAP or not counts:
        return rule.why
    least, most = min(counts), max(counts)
    between = f"{least}" if least == most else f"{least} to {most}"
    return f"{rule.why} (each held against {between} other prices)"


def _all_equal(lines: Sequence[Judged]) -> list[Sign]:
    rated = [
        (line, claim.value)
        for line in lines
        for claim in line.line.claims
        if claim.kind is ClaimKind.RATING
    ]
    if len(rated) < _ALL_EQUAL_FROM or len({value for _, value in rated}) > 1:
        return []
    text = f"every rating is {rated[0][1]}: parts of different makers do not all hold the same"
    return [Sign("all ratings equal", len(rated), text, _places(line for line, _ in rated))]


def as_sign(found: ListSign) -> Sign:
    """Return a sign of the whole list as the answer tells it."""
    return Sign(found.sign, len(found.lines), found.why, _places(found.lines))


def line_questions(line: Judged) -> list[tuple[int, str, str, str]]:
    """Return (place in the order of harm, sign, question, why) of all that is asked of a line."""
    return [
        (place, rule.sign, rule.question, rule.why)
        for place, rule in enumerate(_RULES)
        if rule.question and rule.shows(line)
    ]


def _places(lines: Iterable[Judged]) -> tuple[str, ...]:
    texts = [
        f"{line.line.listed.text.code or '(no code)'} at {line.line.listed.row.place()}"
        for line in lines
    ]
    return tuple(texts[:EXAMPLES])


def questions_of(lines: Sequence[Judged]) -> tuple[str, ...]:
    """Return the questions to send back, gravest first, each with the codes that it is about."""
    asked: dict[str, dict[int, str]] = {}  # two signs may ask the same of a line
    for rule in _RULES:
        for line in lines:
            if rule.question and rule.shows(line):
                listed = line.line.listed
                named = listed.text.code or listed.row.place()
                asked.setdefault(rule.question, {})[id(line)] = named
    return tuple(
        f"{question} ({counted(len(codes), 'line')}: {', '.join(dict.fromkeys(codes.values()))})"
        for question, codes in asked.items()
    )


def recommendation(lines: Sequence[Judged], signs: Sequence[Sign]) -> str:
    """Return in words what may be bought of the list now, and what may not."""
    verdicts = Counter(line.verdict for line in lines)
    bad = {sign.sign for sign in signs}
    grave = bad & GRAVE
    priced, unpriced = fitting(lines)
    fit, without = len(priced), _without_price(len(unpriced))
    if "barred here" in bad and not (priced or unpriced):
        return "Buy nothing from this list: the shop has barred what it sells."
    if not grave and not bad:
        stands = "it stands" if fit == 1 else "they stand"
        return f"No sign of a bad list. {counted(fit, 'line')} may be bought as {stands}{without}."
    if not grave:
        return (
            f"{counted(fit, 'line')} may be bought{without}; send the questions back before the "
            f"{counted(verdicts[Verdict.ASK_FIRST], 'other')}."
        )
    return (
        f"Do not trust the ratings of this list ({', '.join(sorted(grave))}). Buy only "
        f"the {counted(fit, 'line')} that our own records show to fit{without}; not the "
        f"{verdicts[Verdict.DO_NOT_FIT]} that fail; the "
        f"{counted(verdicts[Verdict.ASK_FIRST], 'other')} after answers with documents."
    )


def _without_price(count: int) -> str:
    """Return what is said of lines that fit but cannot be bought as they are listed."""
    return f" ({count} more {'fits' if count == 1 else 'fit'} but without a price)" if count else ""
