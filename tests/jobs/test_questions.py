"""Question sheets: written worst first, sent, and read back as claims."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from shop_lists import DAY, FIXTURES

from partsdb.errors import InputRefusedError, UsageError
from partsdb.jobs.cards import part_card
from partsdb.jobs.list_answers import VetLine
from partsdb.jobs.question_answers import take_answers
from partsdb.jobs.questions import _with_verb
from partsdb.jobs.vet import VetAsk, vet
from partsdb.jobs.who import stamp
from partsdb.render.question_sheet import COLUMNS, question_rows, question_sheet
from partsdb.store import catalogue, events, makers
from partsdb.store.connect import open_database
from partsdb.store.rows import NewPart

LIST = FIXTURES / "lists" / "ninefold_pricelist.csv"


@pytest.fixture(scope="module")
def answer(built_shop: Path):
    with open_database(built_shop):
        return vet(VetAsk(LIST, DAY, "Ninefold"))


@pytest.fixture
def own_parts(in_shop: Path) -> Path:
    """Two articles of the supplier's own, as its list would have brought them."""
    maker = makers.add_maker("Ninefold")
    new = [NewPart(maker, number, "Valve kit", "valve kit") for number in ("NF-1", "NF-2")]
    catalogue.add_parts(new, by=stamp())
    return in_shop


def row(**cells: str) -> dict[str, str]:
    return dict.fromkeys(COLUMNS, "") | {
        "supplier": "Ninefold", "code": "NF-1", "maker": "Ninefold", "number": "NF-1",
        "role": "valve kit", "description": "Valve kit", "about": "rating missing",
        "answer": "3600 psi",
    } | cells  # fmt: skip


def sheet(folder: Path, *rows: dict[str, str], name: str = "back.csv") -> Path:
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS)
    writer.writeheader()
    writer.writerows(rows)
    path = folder / name
    path.write_text(text.getvalue(), encoding="utf-8")
    return path


def claims_of(number: str = "NF-1") -> list[tuple[str, str, str, str]]:
    card = part_card(number, "Ninefold", as_of=DAY)
    return [(c.kind, c.about, c.value, c.evidence) for c in card.claims]


def test_every_asked_line_stands_on_the_sheet_worst_first(answer):
    signs = [sign.sign for sign in answer.signs]
    order = list(dict.fromkeys(each.about for each in answer.asked))
    assert order[0] == "pressure too low"
    assert order == [sign for sign in signs if sign in order]
    for sign in answer.signs:
        asked = {each.line for each in answer.asked if each.about == sign.sign}
        assert not asked or len(asked) == sign.count, sign.sign


def test_the_article_of_an_answer_is_the_suppliers_own(answer):
    own = [each for each in answer.asked if each.replaces]
    assert own
    assert {each.maker for each in own} == {"Ninefold"}
    assert all(each.number == each.code for each in own)


def test_what_answers_would_change_is_told(answer):
    assert answer.if_answered.startswith(f"Of {answer.summary['ask_first']} lines to ask about")


def test_the_three_formats_hold_the_same_questions(answer, tmp_path):
    from openpyxl import load_workbook

    rows = question_rows(answer)
    back = list(csv.DictReader(io.StringIO(question_sheet(answer, ".csv").decode("utf-8-sig"))))
    assert [each["question"] for each in back] == [each["question"] for each in rows]
    path = tmp_path / "q.xlsx"
    path.write_bytes(question_sheet(answer, ".xlsx"))
    cells = list(load_workbook(path).active.iter_rows(values_only=True))
    assert cells[0] == COLUMNS
    assert len(cells) == len(rows) + 1
    assert [each[COLUMNS.index("code")] or "" for each in cells[1:]] == [r["code"] for r in rows]
    page = question_sheet(answer, ".html").decode()
    assert page.count("<tr>") == len(rows) + 1
    with pytest.raises(UsageError, match=r"cannot be \.pdf"):
        question_sheet(answer, ".pdf")


def test_a_sheet_sent_back_as_a_workbook_is_read(in_shop_with_lists, answer, tmp_path):
    from openpyxl import load_workbook

    path = tmp_path / "q.xlsx"
    path.write_bytes(question_sheet(answer, ".xlsx"))
    book = load_workbook(path)
    at = next(n for n, each in enumerate(answer.asked, start=2) if each.about == "rating missing")
    book.active.cell(at, COLUMNS.index("answer") + 1).value = "250 bar"
    book.active.cell(at, COLUMNS.index("document") + 1).value = "cert 12"
    book.save(path)
    taken = take_answers(path, stamp())
    assert (taken.claims, taken.unanswered) == (1, len(answer.asked) - 1)


def test_an_answer_becomes_a_claim_with_its_level_of_evidence(own_parts, tmp_path):
    take_answers(
        sheet(tmp_path, row(), row(number="NF-2", code="NF-2", document="cert 9")), stamp()
    )
    assert claims_of("NF-1") == [("rating", "", "3600 psi", "supplier's word")]
    assert claims_of("NF-2") == [("rating", "", "3600 psi", "supplier's document")]
    [claim] = part_card("NF-2", "Ninefold", as_of=DAY).claims
    assert claim.source == "cert 9"


def test_materials_threads_and_contents_are_read(own_parts, tmp_path):
    rows = [
        row(about="material unnamed", answer="ball=tungsten carbide;seat=tungsten carbide"),
        row(about="thread look-alike", answer="1/4-18 NPT male"),
        row(about="kit contents unstated", answer="rod, ball, seat, 2 rod seals"),
    ]
    taken = take_answers(sheet(tmp_path, *rows), stamp())
    assert (taken.claims, taken.contents) == (3, 1)
    assert ("material", "ball", "tungsten carbide", "supplier's word") in claims_of()
    assert ("port", "", "1/4-18 NPT male", "supplier's word") in claims_of()
    contents = part_card("NF-1", "Ninefold", as_of=DAY).contents
    assert {item.role for item in contents or ()} == {"rod", "ball", "seat", "rod seal"}


def test_the_same_sheet_twice_changes_nothing(own_parts, tmp_path):
    path = sheet(tmp_path, row())
    take_answers(path, stamp())
    again = take_answers(path, stamp())
    assert (again.claims, again.repeated) == (0, 1)
    assert len(claims_of()) == 1


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({"answer": "strong enough"}, "row 2, column answer"),
        ({"answer": "3600"}, "row 2, column answer"),
        ({"about": "thread look-alike", "answer": "the usual"}, "names no thread"),
        ({"about": "material unnamed", "answer": "carbide"}, "name=value"),
        ({"evidence": "supplier's document"}, "names no document"),
        ({"evidence": "trust me"}, "none of"),
        ({"document": "cert 9", "valid_until": "2020-01-01"}, "has passed"),
        ({"document": "cert 9", "valid_until": "01.01.2020"}, "2020-01-01 has passed"),
        ({"document": "cert 9", "valid_until": "05/06/2027"}, "with strokes some put the day first"),
        ({"number": ""}, "column number"),
        ({"number": "NF-99"}, "not stored: take the list in first"),
    ],
)
def test_a_bad_answer_refuses_the_sheet_and_names_its_cell(own_parts, tmp_path, cells, said):
    with pytest.raises(InputRefusedError, match=said):
        take_answers(sheet(tmp_path, row(**cells), row(number="NF-2")), stamp())


def test_an_answer_about_a_line_not_yet_decided_is_noted_and_refuses_nothing(own_parts, tmp_path):
    open_line = row(maker="", code="NF-7", answer="228 bar", document="cert 9")
    taken = take_answers(sheet(tmp_path, open_line, row(number="NF-2", code="NF-2")), stamp())
    assert (taken.claims, taken.noted) == (1, 1)
    (said,) = taken.cautions
    assert all(word in said for word in ("row 2", "NF-7", "noted only"))
    (event,) = [each for each in events.history(limit=20) if each.action == "answer"]
    assert event.subject_kind == "supplier"
    assert (event.detail["code"], event.detail["answer"]) == ("NF-7", "228 bar")


def test_a_sheet_of_two_suppliers_or_none_is_refused(in_shop, tmp_path):
    for rows in ((row(), row(supplier="Kestrow")), (row(supplier=""),), ()):
        with pytest.raises(UsageError, match="suppliers"):
            take_answers(sheet(tmp_path, *rows), stamp())


def test_what_the_shop_itself_states_of_a_kit_stays(in_shop, tmp_path):
    cells = {"maker": "Quillmere", "number": "24-1180", "code": "24-1180"}
    before = part_card("24-1180", "Quillmere", as_of=DAY).contents
    asked = row(about="kit contents unstated", answer="rod, ball, seat", **cells)
    taken = take_answers(sheet(tmp_path, asked), stamp())
    assert (taken.contents, taken.noted) == (0, 1)
    assert part_card("24-1180", "Quillmere", as_of=DAY).contents == before


def test_an_answered_rating_counts_at_the_next_vetting(in_shop_with_lists, answer, tmp_path):
    """A replacement with no rating is asked about; with a document it is no longer missing."""
    lines = {each.line: each for each in answer.lines}
    asked = next(
        each
        for each in answer.asked
        if each.about == "rating missing" and each.replaces and unknown(lines[each.line])
    )
    cells = {name: str(getattr(asked, name)) for name in ("code", "maker", "number", "role")}
    take_answers(sheet(tmp_path, row(**cells, answer="6000 psi", document="cert 9")), stamp())
    again = vet(VetAsk(LIST, DAY, "Ninefold"))
    [after] = [each for each in again.lines if each.line == asked.line]
    assert after.reading == "replacement"
    assert not unknown(after)


def unknown(line: VetLine) -> bool:
    return "PRESSURE_UNKNOWN" in {check.code for check in line.checks}


# Certificates


def test_a_certificate_becomes_claims_and_what_it_does_not_name_is_told(own_parts, tmp_path):
    cells = {"document": "cert 9 of 2026-05-01", "valid_until": "2027-05-01"}
    whole = row(about="no document", answer="EN 10204 3.1 for NF-1, WP 3600 psi", **cells)
    bare = row(number="NF-2", code="NF-2", about="no document", answer="certificate 88")
    taken = take_answers(sheet(tmp_path, whole, bare), stamp())
    assert claims_of("NF-1") == [
        ("rating", "", "3600 psi", "supplier's document"),
        ("standard", "", "EN 10204 3.1", "supplier's document"),
    ]
    assert (taken.claims, taken.noted) == (2, 1)
    [caution] = taken.cautions
    assert caution.endswith("of NF-2 names no standard, no item, no date, no expiry")


def test_a_papers_expiry_may_be_written_with_points(own_parts, tmp_path):
    paper = {"document": "cert 9 of 2026-05-01", "valid_until": "01.05.2027"}
    take_answers(sheet(tmp_path, row(**paper)), stamp())
    [claim] = part_card("NF-1", "Ninefold", as_of=DAY).claims
    assert claim.source == "cert 9 of 2026-05-01, valid until 2027-05-01"


def test_a_burst_figure_on_a_certificate_is_no_rating(own_parts, tmp_path):
    asked = row(about="price far below the others", answer="burst 13200 psi", document="cert 9")
    take_answers(sheet(tmp_path, asked), stamp())
    assert claims_of("NF-1") == []


@pytest.mark.parametrize("about", ["rating rounded up", "rating unreadable"])
def test_every_question_about_a_rating_is_answered_by_a_pressure(own_parts, tmp_path, about):
    take_answers(sheet(tmp_path, row(about=about)), stamp())
    assert claims_of() == [("rating", "", "3600 psi", "supplier's word")]


@pytest.mark.parametrize(
    ("count", "words"), [(0, "0 need"), (1, "1 needs"), (2, "2 need"), (11, "11 need")]
)
def test_a_count_and_its_verb_agree(count, words):
    assert _with_verb(count, "need") == words
