"""What a certificate must name: standard, item, date and expiry (trade handbook 6.6)."""

from __future__ import annotations

import pytest

from partsdb.rules.certificate_words import lacks, standards_named


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("EN 10204 3.1", ("EN 10204 3.1",)),
        ("to ISO 6605:2017, SAE J517 and DIN EN 853.", ("ISO 6605:2017", "SAE J517", "DIN EN 853")),
        ("our own test report 12", ()),
        ("EN 853, EN 853", ("EN 853",)),
    ],
)
def test_the_standards_that_a_text_names(text: str, named: tuple[str, ...]) -> None:
    assert standards_named(text) == named


WHOLE = "EN 10204 3.1, item NF-1, of 2026-05-01, valid until 2027-05-01"


@pytest.mark.parametrize(
    ("text", "until", "missing"),
    [
        (WHOLE, "", ()),
        ("EN 10204 3.1, item NF 1, of 2026-05-01", "2027-05-01", ()),
        ("certificate 88", "", ("standard", "item", "date", "expiry")),
        ("item NF-1, of 2026-05-01, valid until 2027-05-01", "", ("standard",)),
        ("EN 10204 3.1, NF-2, of 2026-05-01, valid until 2027-05-01", "", ("item",)),
        ("EN 10204 3.1, NF-11, of 2026-05-01, valid until 2027-05-01", "", ("item",)),
        ("EN 10204 3.1, XNF-1, of 2026-05-01, valid until 2027-05-01", "", ("item",)),
        ("EN 10204 3.1, NF-1-A, of 2026-05-01, valid until 2027-05-01", "", ("item",)),
        ("EN 10204 3.1, NF-2, 1 pc, of 2026-05-01, valid until 2027-05-01", "", ("item",)),
        ("EN 10204:2004, item NF-1, valid until 2027-05-01", "", ()),
        ("EN 10204:2004, item NF-1", "", ("date", "expiry")),
    ],
)
def test_what_a_certificate_does_not_name_is_told(
    text: str, until: str, missing: tuple[str, ...]
) -> None:
    assert lacks(text, "NF-1", until=until) == missing
