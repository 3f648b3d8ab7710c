"""Thread designations as the trade writes them, read to a `Thread` or to nothing: never a guess."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

from partsdb import tables
from partsdb.rules.thread_forms import (
    FEMALE,
    MALE,
    QUICK_COUPLING,
    Thread,
    by_dash,
    find,
    with_gender,
)
from partsdb.rules.thread_patterns import (
    COUPLING,
    COUPLING_SERIES,
    DASH,
    FEMALE_HINTS,
    FEMALE_WORDS,
    FORM_MARKS,
    ISO6149,
    LETTER_THEN_SIZE,
    MALE_WORDS,
    METRIC,
    PIPE_FORMS,
    PIPE_THEN_SIZE,
    SEAT_OF_FORM,
    SEAT_PATTERNS,
    SIZE_THEN_PIPE,
    UNIFIED,
    VULGAR,
)


def parse(text: str) -> Thread | None:
    """Return the one thread that `text` names; None when it names none, several or nonsense."""
    found = _readings(text, bare=True)
    return found[0] if len(found) == 1 else None


def find_threads(text: str, *, bare: bool = False) -> tuple[Thread, ...]:
    """Return the threads that a text names, in order, each with the gender and seat beside it.

    `bare` also reads an inch thread without its series ("7/16-20"): right in a field for a port,
    wrong in a description, where it may be any two numbers.
    """
    return tuple(thread for thread in _readings(text, bare=bare) if thread is not None)


def beside_threads(text: str) -> tuple[str, tuple[str, ...]]:
    """Return what a text says beside its threads, genders and seats, and what stands between them.

    Of a text that names no thread nothing stands beside one.
    """
    plain = _plain(text)
    spans = [match.span() for match in _designations(plain, bare=True)]
    if not spans:
        return "", ()
    starts, ends = [0, *(end for _, end in spans)], [*(at for at, _ in spans), len(plain)]
    pieces = [_without_known(plain[at:end]) for at, end in zip(starts, ends, strict=True)]
    return " ".join(pieces), tuple(pieces[1:-1])


_KNOWN_WORDS = (
    *(pattern for _, pattern in SEAT_PATTERNS),
    *(pattern for _, pattern in FORM_MARKS),
    ISO6149,
    MALE_WORDS,
    FEMALE_WORDS,
)


def _without_known(piece: str) -> str:
    for pattern in _KNOWN_WORDS:
        piece = pattern.sub(" ", piece)
    return piece


@lru_cache(maxsize=4096)
def _readings(text: str, *, bare: bool) -> tuple[Thread | None, ...]:
    """Return one entry per designation; None for one that is nonsense or contradicts itself."""
    plain = _plain(text)
    matches = list(_designations(plain, bare=bare))
    if not matches:
        return _quick_coupling(plain)
    return tuple(_read(match, around) for match, around in _surroundings(plain, matches))


_DASHES = re.compile(r"[‐‑‒–—−]")
_DECIMAL_COMMA = re.compile(r"(?<=\d),(?=\d)")
_MODEL_BEFORE_SIZE = re.compile(r"([A-Za-z]\d{1,4}[A-Za-z]?) (?=\d{1,2}/\d)")
_INCH_MARK = re.compile(r"[”“″]|''|zoll\b", re.IGNORECASE)
_DEGREES = re.compile(r"(?<=\d)\s*(?:deg|grad)\b\.?", re.IGNORECASE)


def _plain(text: str) -> str:
    if not text.isascii():
        for sign, fraction in VULGAR.items():
            text = text.replace(sign, f" {fraction}")
        text = unicodedata.normalize("NFKC", text)
        text = _DASHES.sub("-", text).replace("⁄", "/").replace("×", "x")
    text = _DECIMAL_COMMA.sub(".", text)
    # "Q33 3/8 NPT": the figure belongs to a model, so the two are no mixed number.
    if "/" in text:
        text = _MODEL_BEFORE_SIZE.sub(r"\1  ", text)
    text = _INCH_MARK.sub('"', text)
    text = _DEGREES.sub("°", text)
    return " ".join(text.split())


# The pattern is tried where one of the texts stands in capitals: most lines name no thread.
_PATTERNS = (
    (("NP", "BSP"), SIZE_THEN_PIPE),
    (("NP", "BSP"), PIPE_THEN_SIZE),
    (("G", "R"), LETTER_THEN_SIZE),
    (("M",), METRIC),
    (("-", "X"), UNIFIED),
    (("J", "ORB"), DASH),
)


def _designations(plain: str, *, bare: bool) -> Iterator[re.Match[str]]:
    """Yield the designations from left to right; of two that overlap, the one that begins first."""
    upper = plain.upper()
    found = [
        match
        for needs, pattern in _PATTERNS
        if any(need in upper for need in needs)
        for match in pattern.finditer(plain)
        if bare or not _is_bare(match, plain)
    ]
    end = 0
    for match in sorted(found, key=lambda match: (match.start(), -match.end())):
        if match.start() >= end:
            end = match.end()
            yield match


def _is_bare(match: re.Match[str], plain: str) -> bool:
    if match.re is not UNIFIED or match["word"]:
        return False
    nearby = plain[max(0, match.start() - 12) : match.end() + 24]
    return not any(mark.search(nearby) for _, mark in FORM_MARKS)


def _surroundings(plain: str, matches: list[re.Match[str]]) -> Iterator[tuple[re.Match[str], str]]:
    """Yield each designation with the words that belong to it.

    One designation owns the whole text. Of several each owns the words after it, or, when the
    text begins with words of gender and ends with none ("male 1/4 NPT x female G 1/4"), before.
    """
    if len(matches) == 1:
        match = matches[0]
        yield match, f"{plain[: match.start()]} ; {plain[match.end() :]}"
        return
    cuts = [0, *(match.start() for match in matches), len(plain)]
    ends = [0, *(match.end() for match in matches)]
    after = [plain[match.end() : cut] for match, cut in zip(matches, cuts[2:], strict=True)]
    before = [plain[end:cut] for end, cut in zip(ends, cuts[1:], strict=False)][: len(matches)]
    leading = _gender_of(before[0]) and not _gender_of(after[-1])
    yield from zip(matches, before if leading else after, strict=True)


def _read(match: re.Match[str], around: str) -> Thread | None:
    """Return the thread of one designation, or None when its own words contradict each other."""
    if match.re is METRIC:
        thread = _metric(match, around)
    elif match.re is UNIFIED:
        thread = _unified(match, around)
    elif match.re is DASH:
        word = (match["word"] or match["word2"]).upper()
        thread = _gendered(by_dash(word.lstrip("MF"), match["size"] or match["size2"]), word)
    else:
        thread = _pipe(match)
    if thread is None:
        return None
    return _with_surroundings(thread, around, _grade_gender(match))


def _pipe(match: re.Match[str]) -> Thread | None:
    word = match["word"].replace(" ", "")
    name = word if match.re is LETTER_THEN_SIZE else word.upper()
    prefix = name[0] if name[0] in "MF" else ""
    name = name.removeprefix(prefix)
    name = name.title() if name in ("RC", "RP") else name
    form, gender = PIPE_FORMS.get(name, (name, ""))
    thread = find(form, match["size"].replace(" ", "-"))
    if thread is None or not _tpi_agrees(thread, match["tpi"]):
        return None
    # BSPT is the letter-less name of both R and Rc, so it does not say the gender that R does.
    thread = replace(thread, gender="") if name == "BSPT" else thread
    return with_gender(thread, gender) if gender else _gendered(thread, prefix)


def _tpi_agrees(thread: Thread, tpi: str | None) -> bool:
    return tpi is None or float(re.sub(r"[ -]1/2", ".5", tpi)) == thread.threads_per_inch


def _gendered(thread: Thread | None, word: str) -> Thread | None:
    gender = {"M": MALE, "F": FEMALE}.get(word[:1], "")
    return with_gender(thread, gender) if thread and gender else thread


def _metric(match: re.Match[str], around: str) -> Thread | None:
    size = f"M{match['size']}x{float(match['tpi']):g}"
    return find("ISO6149" if ISO6149.search(around) else "M", size)


def _unified(match: re.Match[str], around: str) -> Thread | None:
    marks = [form for form, mark in FORM_MARKS if mark.search(around)]
    if len(marks) > 1:
        return None
    size = f"{match['size'].replace(' ', '-')}-{match['tpi']}"
    if not marks and not _series_agrees(size, match["word"]):
        return None
    return find(marks[0] if marks else "UN", size)


def _series_agrees(size: str, word: str | None) -> bool:
    """Say whether the thread stands in the table of unified threads under the series named."""
    names = {row["designation"] for row in tables.rows("threads") if row["form"] == "UN"}
    return not word or word.upper() == "UN" or f"{size} {word.upper()}" in names


def _grade_gender(match: re.Match[str]) -> str:
    """Return the gender that a class letter tells: G…A and 2A are outside threads, 2B inside."""
    grade = (match.groupdict().get("grade") or "").upper()
    if match.re is LETTER_THEN_SIZE:
        return MALE if grade else ""  # ISO 228-1 gives classes A and B to external threads only
    return {"A": MALE, "B": FEMALE}.get(grade, "")


def _with_surroundings(thread: Thread, around: str, graded: str) -> Thread | None:
    said = _gender_of(around)
    genders = {gender for gender in (thread.gender, said, graded) if gender}
    if not genders and FEMALE_HINTS.search(around):
        genders = {FEMALE}
    seats = [seat for seat, pattern in SEAT_PATTERNS if pattern.search(around)]
    seats = [seat for seat in seats if thread.size == "M22x1.5" or not seat.startswith("plug")]
    if "no chamfer" in seats:
        seats = ["no chamfer"]
    own = SEAT_OF_FORM.get(thread.form)
    if len(genders) > 1 or said == "both" or len({*seats, own} - {None}) > 1:
        return None
    seat = own or (seats[0] if seats else "")
    return replace(with_gender(thread, genders.pop() if genders else ""), seat=seat)


def _gender_of(words: str) -> str:
    male, female = MALE_WORDS.search(words), FEMALE_WORDS.search(words)
    if male and female:
        return "both"
    return MALE if male else FEMALE if female else ""


def _quick_coupling(plain: str) -> tuple[Thread, ...]:
    """Return a quick coupling whose series is named; without one nothing can be compared."""
    series = COUPLING_SERIES.search(plain)
    if not COUPLING.search(plain) or not series:
        return ()
    name = f"ISO {series[1]}-{series[2].upper()}" if series[1] else f"ISO {series[3]}"
    size = re.search(r"(?<![\d/])\d/\d(?!\d)", plain.replace(series[0], ""))
    gender = _gender_of(plain)
    thread = Thread(QUICK_COUPLING, f"{name} {size[0]}" if size else name)
    return (replace(thread, gender=gender),) if gender != "both" else ()
