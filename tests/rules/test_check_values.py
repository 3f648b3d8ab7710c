"""Every check value of the handbook is looked at by some test (`fixtures/check_values.json`)."""

from __future__ import annotations

import json
from pathlib import Path

TESTS = Path(__file__).parents[1]
CHECKS = json.loads((TESTS.parent / "fixtures" / "check_values.json").read_text("utf-8"))


def test_no_topic_of_the_check_values_is_left_out() -> None:
    """A topic counts where a test names it, or the family to which it belongs ("landed.A.")."""
    written = "\n".join(
        path.read_text("utf-8")
        for path in sorted(TESTS.rglob("test_*.py"))
        if path != Path(__file__)
    )
    topics = {check["topic"] for check in CHECKS}
    left_out = {
        topic
        for topic in topics
        if f'"{topic}"' not in written and f'"{topic.rpartition("_")[0]}"' not in written
    }
    families = {topic for topic in left_out if f'"{topic.rpartition(".")[0]}.' in written}
    assert len(topics) > 120
    assert left_out - families == set()


def test_every_check_value_has_its_own_number() -> None:
    numbers = [check["id"] for check in CHECKS]
    assert len(set(numbers)) == len(numbers)
