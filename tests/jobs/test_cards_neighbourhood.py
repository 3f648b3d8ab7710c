"""The neighbourhood of a part: who decided each edge, when, on what evidence, and where it leads."""

from __future__ import annotations

from small_shop import BY, DAY, SmallShop

from partsdb.jobs.cards import part_card
from partsdb.render.parts import part_text
from partsdb.rules.facts import EvidenceLevel
from partsdb.store import edges
from partsdb.store.rows import SupersessionRow


def neighbourhood(small: SmallShop) -> str:
    asked, near, far = (small.part(n, "valve kit") for n in ("24-1", "24-2", "24-3"))
    old = small.part("24-0", "valve kit")
    small.edge(asked, near, "accepted", EvidenceLevel.MEASURED_HERE, ("from serial 4000",))
    small.edge(near, far, "proposed", EvidenceLevel.SUPPLIERS_WORD)
    edges.add_supersession(SupersessionRow(0, old, asked, "2022-03-01", "", "3999", "QB-98"), by=BY)
    return part_text(part_card("24-1", None, as_of=DAY), 200)


def test_an_edge_says_on_what_evidence_by_whom_and_when_it_was_accepted(small: SmallShop) -> None:
    text = neighbourhood(small)
    assert (
        "may be replaced by Quillmere 24-2: accepted on measured here (QB-1), "
        "decided by Ilse on 2026-11-02, on condition: from serial 4000"
    ) in text


def test_a_step_further_is_drawn_under_the_part_that_leads_there(small: SmallShop) -> None:
    lines = neighbourhood(small).splitlines()
    at = next(i for i, line in enumerate(lines) if "may be replaced by Quillmere 24-2" in line)
    assert lines[at + 1].lstrip("│ ") == (
        "└─ proposed in its place Quillmere 24-3: proposed on supplier's word (QB-1), "
        "recorded by Ilse on 2026-11-02"
    )  # fmt: skip


def test_the_makers_own_replacement_is_drawn_with_its_serials(small: SmallShop) -> None:
    text = neighbourhood(small)
    assert "supersedes Quillmere 24-0: 2022-03-01 (QB-98), on condition: up to serial 3999" in text
