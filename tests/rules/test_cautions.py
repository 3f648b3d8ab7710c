"""The safety texts that an answer must carry."""

from __future__ import annotations

import pytest

from partsdb.errors import UsageError
from partsdb.rules.cautions import cautions_for
from partsdb.tables import rows


def test_every_answer_says_that_it_is_no_certificate() -> None:
    """Handbook 9.9."""
    [text] = cautions_for([])
    assert "record check, not a certificate" in text


@pytest.mark.parametrize(
    ("situation", "words"),
    [
        (
            "injection",
            (
                "surgical emergency",
                "hospital at once",
                "high-pressure injection",
                "100 psi (7 bar)",
            ),
        ),
        (
            "pressurised machine",
            ("lock the trigger", "verify zero", "does not release stored pressure"),
        ),
        ("solvent and aluminium", ("aluminium or galvanised", "explode")),
        ("relief valve", ("never plug",)),
        ("flammable fluid", ("earth", "conductive hose")),
        ("burst only", ("never a rating",)),
        ("pressure test", ("never air",)),
    ],
)
def test_the_handbooks_texts_are_given(situation: str, words: tuple[str, ...]) -> None:
    """Handbook 9.1 to 9.8."""
    text = " ".join(cautions_for([situation])).lower()
    assert all(word.lower() in text for word in words)


def test_injection_comes_before_handling() -> None:
    texts = cautions_for(["pressurised machine", "injection"])
    injection = next(at for at, text in enumerate(texts) if "surgical" in text)
    relief = next(at for at, text in enumerate(texts) if "Before any work" in text)
    assert injection < relief


def test_a_situation_that_is_not_known_is_refused_so_that_no_caution_goes_missing() -> None:
    with pytest.raises(UsageError, match="no caution is known"):
        cautions_for(["volcano"])


def test_every_caution_names_its_source() -> None:
    assert all(row["source"].startswith("handbook") for row in rows("cautions"))
