"""A question sheet that came back: each answer becomes a claim with its level of evidence."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from partsdb.errors import UsageError
from partsdb.jobs.named import the_supplier
from partsdb.jobs.shop_files import FileFormat, Row, Table, read_file
from partsdb.rules.certificate_words import lacks, standards_named
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel
from partsdb.rules.pressure import find_pressures, rating
from partsdb.rules.stated import stated_contents
from partsdb.rules.thread_text import find_threads
from partsdb.store import catalogue, claims, events, makers
from partsdb.store.rows import NewClaim, PartRow, Stamp

SHEET = FileFormat(
    "question sheet",
    ("supplier", "code", "maker", "number", "about", "answer"),
    ("place", "role", "description", "replaces", "question", "why", "document", "valid_until",
     "evidence"),
)  # fmt: skip
# What an answer can be worth: the seller says it, or a document that he names shows it.
LEVELS = (
    EvidenceLevel.SUPPLIERS_WORD, EvidenceLevel.SUPPLIERS_DOCUMENT, EvidenceLevel.MAKERS_DOCUMENT,
)  # fmt: skip
_RATINGS = (
    "pressure too low", "burst quoted as rating", "rating above the maker's own",
    "bar and psi muddled", "rating missing", "rating rounded up", "rating unreadable",
)  # fmt: skip
# Answered by a certificate: what pressure and which standards it names become claims.
_CERTIFICATES = (
    "no document", "expired document", "price far below the others", "safety parts out of line",
)  # fmt: skip
_MATERIALS = ("softer material", "material unnamed")
_THREADS = ("thread look-alike",)
_CONTENTS = ("kit contents unstated", "kit incomplete")
_READ_FIRST = "take the list in first (partsdb pricelist read), which approves nothing of it"


@dataclass(frozen=True, slots=True)
class AnswersTaken:
    """What a sheet came to: claims made, kits whose contents are stated, answers only noted."""

    file: str
    supplier: str
    claims: int
    contents: int
    noted: int
    unanswered: int
    repeated: int
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Answer:
    """One answered row: the claims that it makes, the kit's contents, or neither (noted)."""

    row: Row
    part: PartRow | None
    claims: tuple[Claim, ...] = ()
    contents: str = ""


def take_answers(path: Path, by: Stamp) -> AnswersTaken:
    """Store the answers of a sheet, the whole or nothing; a sheet read twice changes nothing.

    Raises InputRefusedError naming every cell that cannot be taken in, NotFoundError for an unknown
    supplier, UsageError for a sheet of two suppliers or none.
    """
    table = read_file(path, SHEET, workbook=True)
    name = _supplier(table)
    supplier = the_supplier(name)
    filled = [row for row in table.rows if row.text("answer")]
    answers = [_answer(row, path.name, by.at[:10]) for row in filled]
    table.refuse_if_bad()
    done = [_store(answer, supplier.id, by) for answer in answers]
    events.record(
        "answers", ("supplier", supplier.id), {"file": path.name, "answers": len(filled)}, by=by
    )
    return AnswersTaken(
        path.name,
        supplier.name,
        sum(made for kind, made in done if kind == "claims"),
        sum(made for kind, made in done if kind == "contents"),
        sum(1 for kind, _ in done if kind == "noted"),
        len(table.rows) - len(filled),
        sum(1 for kind, _ in done if kind == "same"),
        tuple(table.cautions),
    )


def _supplier(table: Table) -> str:
    names = {row.text("supplier") for row in table.rows}
    if len(names) != 1 or "" in names:
        raise UsageError(
            f"{table.name} is the sheet of {len(names - {''})} suppliers",
            hint="vet the list with --supplier, and give back the sheet of one supplier",
        )
    return names.pop()


def _answer(row: Row, file: str, today: str) -> _Answer:
    if not row.text("maker") and row.text("about", needed=True):
        row.caution(
            "maker",
            f"which article {row.text('code') or 'it'} is has not been decided here: the answer is "
            "noted only; decide the line (partsdb pricelist review) and ask again",
        )
        return _Answer(row, None)
    maker, number = row.text("maker", needed=True), row.text("number", needed=True)
    about, said = row.text("about", needed=True), row.text("answer")
    level, source = _evidence(row, file, today)
    found: list[tuple[ClaimKind, str, str, str]] = []
    if about in _RATINGS:
        row.tried("answer", lambda: rating(said, in_pressure_context=True), None)
        found = [(ClaimKind.RATING, "", said, "working")]
    elif about in _MATERIALS:
        found = [(ClaimKind.MATERIAL, piece, what, "") for piece, what in row.pairs("answer")]
    elif about in _THREADS:
        if not find_threads(said):
            row.bad("answer", f"{said!r} names no thread; write it as 1/4-18 NPT male")
        found = [(ClaimKind.PORT, "", said, "")]
    elif about in _CERTIFICATES:
        found = _certified(row, said, number)
    made = tuple(Claim(k, value, level, piece, basis, source) for k, piece, value, basis in found)
    part = _part(maker, number)
    if part is None:
        row.bad("number", f"{maker} {number} is not stored: {_READ_FIRST}")
    return _Answer(row, part, made, said if about in _CONTENTS else "")


def _certified(row: Row, said: str, number: str) -> list[tuple[ClaimKind, str, str, str]]:
    """Return what a certificate shows; what it does not name of what it must is cautioned about."""
    whole = f"{said} {row.text('document')}"
    missing = lacks(whole, number, until=row.day("valid_until") or "")
    if missing:
        row.caution("document", f"the certificate of {number} names no {', no '.join(missing)}")
    rated = [each for each in find_pressures(said) if each.pressure and each.basis != "burst"]
    ratings = [(ClaimKind.RATING, "", each.text, each.basis or "working") for each in rated]
    return [*ratings, *((ClaimKind.STANDARD, "", each, "") for each in standards_named(whole))]


def _evidence(row: Row, file: str, today: str) -> tuple[EvidenceLevel, str]:
    """Return what the answer is worth: without a document it is the seller's word."""
    document = row.text("document")
    said = row.choice("evidence", LEVELS, needed=False)
    until = row.day("valid_until")
    if until and until < today:
        row.bad("valid_until", f"{until} has passed: ask for the document that is valid now")
    level = EvidenceLevel(said) if said else LEVELS[1] if document else LEVELS[0]
    if level is not EvidenceLevel.SUPPLIERS_WORD and not document:
        row.bad("document", f"names no document, so the evidence is {LEVELS[0]!s}")
    place = f"{document}, valid until {until}" if until else document
    return level, place if document else f"{file}, row {row.row}"


def _store(answer: _Answer, supplier_id: int, by: Stamp) -> tuple[str, int]:
    part, row = answer.part, answer.row
    what = {"about": row.text("about"), "answer": row.text("answer")}
    if part is None:
        named = {"code": row.text("code"), "document": row.text("document")}
        events.record("answer", ("supplier", supplier_id), {**named, **what}, by=by)
        return "noted", 0
    if answer.claims:
        known = {row.claim for row in claims.claims_of([part.id])}
        fresh = [claim for claim in answer.claims if claim not in known]
        claims.add_claims([NewClaim(part.id, claim) for claim in fresh], by=by)
        return ("claims", len(fresh)) if fresh else ("same", 0)
    if answer.contents:
        return _store_contents(answer, part)
    events.record("answer", ("part", part.id), what, by=by)
    return "noted", 0


def _store_contents(answer: _Answer, part: PartRow) -> tuple[str, int]:
    """State a kit's contents as the seller lists them; what the shop states of a kit stays."""
    held = stated_contents(f"{part.role or 'valve kit'}, contents: {answer.contents}")
    if not held:
        answer.row.caution("answer", "no piece that we know is named in it; noted only")
        return "noted", 0
    if part.contents_stated == claims.BY_THE_SHOP:
        answer.row.caution("answer", "the shop itself has stated the contents; noted only")
        return "noted", 0
    if claims.contents_of([part.id])[part.id] == held:
        return "same", 0
    claims.set_contents(part.id, held, by_seller=True)
    return "contents", 1


def _part(maker: str, number: str) -> PartRow | None:
    """Return the stored article of just that number, None when there is none."""
    if not makers.find_maker(maker):
        return None
    exact = [part for part in catalogue.find_parts(number, maker) if part.number == number]
    return exact[0] if exact else None
