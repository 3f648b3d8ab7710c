"""The recall sheet: everything of the handbook's chain on it, and nothing that can run."""

from __future__ import annotations

from html.parser import HTMLParser

from partsdb.jobs.trace_answers import SameEvidence, TraceAnswer, TracedLot, TracedMachine
from partsdb.render.trace import trace_html, trace_rows, trace_text
from partsdb.rules.shelf import Balance


def answer(**more: object) -> TraceAnswer:
    lot = TracedLot("B7", "Quillmere 24-1180", "Kestrow", "B7", "PO 31/2", "cert 88", "2026-06-01",
                    "4", "held", 3, "5 received = ...", 0, False)  # fmt: skip
    machine = TracedMachine("C-17", "Quillmere Q33", "4711", 1, "2026-06-01", "bypass valve",
                            "Quillmere 24-1180", 1, "B7", "burst 2026-07-01")  # fmt: skip
    facts = {
        "about": "lot B7", "reason": "cracked body", "as_of": "2026-11-20", "lots": (lot,),
        "machines": (machine,), "may_carry": (), "customers": ("C-17",), "total": Balance(5, 1, 0, 1),
        "on_hand": 3, "same_evidence": (SameEvidence("cert 88", "Q 27", "lot H1", 2),),
        "to_do": ("take 3 units off the shelf",), "cautions": ("never feel for a leak",),
    }  # fmt: skip
    return TraceAnswer(**{**facts, **more})  # type: ignore[arg-type]


CHAIN = ("Kestrow", "PO 31/2", "2026-06-01", "B7", "bypass valve", "4711", "C-17", "cracked body",
         "Quillmere Q33", "cert 88", "lot H1", "burst 2026-07-01")  # fmt: skip


def test_the_sheet_has_the_whole_chain_as_text_and_as_page():
    """Handbook 7: supplier, PO line, receipt, lot, bin, job line, serial, customer, stock, gap."""
    text, page = trace_text(answer(), 200), trace_html(answer())
    for word in CHAIN:
        assert word in text, word
        assert word in page, word
    assert "on hand      3" in text
    assert "never feel for a leak" in page


def test_a_gap_and_an_uncertain_machine_are_told():
    lost = answer(total=Balance(5, 1, 0, 1, 2), may_carry=answer().machines)
    text = trace_text(lost, 200)
    assert "2: these units are not accounted for" in text
    assert "Machines that may carry it" in text
    assert [row["certain"] for row in trace_rows(lost)] == ["yes", "no"]


class Tags(HTMLParser):
    """Gathers the tags of a page, and whether they close in order."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: set[str] = set()

    def handle_starttag(self, tag, attrs):
        self.seen.add(tag)
        if tag not in ("meta", "!doctype"):
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag


def test_the_page_is_sound_and_runs_nothing():
    nasty = "<script>alert(1)</script>&\"'"
    tags = Tags()
    tags.feed(trace_html(answer(reason=nasty, about=nasty, customers=(nasty,))))
    assert tags.open == []
    assert "script" not in tags.seen


def test_the_page_fetches_nothing_and_has_a_place_to_tick_off():
    page = trace_html(answer())
    assert "http" not in page and "src=" not in page
    assert "<th>done</th>" in page
    assert "@media print" in page
