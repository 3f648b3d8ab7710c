"""The safety texts that an answer must carry."""

from __future__ import annotations

import pytest

from partsdb.errors import UsageError
from partsdb.rules.cautions import cautions_for, hearts
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


def test_every_caution_has_a_heart_of_a_few_words_of_its_own() -> None:
    """Twelve words are what is read at a glance (common practice, no source)."""
    known = hearts()
    assert set(known) == {row["text"] for row in rows("cautions")}
    assert all(
        0 < len(heart.split()) <= 12 and len(heart) < len(text) for text, heart in known.items()
    )
    assert len(set(known.values())) == len(known)
    assert not any(";" in heart for heart in known.values())  # it parts them where they are joined


@pytest.mark.parametrize(
    ("situation", "words"),
    [
        ("injection", ("hospital at once", "painless", "hand or glove")),
        ("pressurised machine", ("lock out", "bleed", "verify zero", "unplugging")),
        ("solvent and aluminium", ("explode", "do not fit")),
        ("relief valve", ("never plug",)),
        ("flammable fluid", ("earth",)),
        ("burst only", ("never a rating",)),
        ("pressure test", ("never air",)),
        ("any", ("not a certificate",)),
        ("eyes", ("eye and face",)),
    ],
)
def test_the_heart_keeps_what_saves_a_hand(situation: str, words: tuple[str, ...]) -> None:
    """Handbook 9.1 to 9.9."""
    said = " ".join(hearts()[text] for text in cautions_for([situation]))
    assert [word for word in words if word not in said] == []
