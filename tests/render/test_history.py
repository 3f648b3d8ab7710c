"""The history as text: words, cut between words and never within a number."""

from __future__ import annotations

from partsdb.render.doctor import history_text


def event(said: str) -> dict[str, object]:
    return {"at": "2026-11-02T09:30:00Z", "who": "Ilse", "action": "decide",
            "subject": "part Quillmere 24-1180", "said": said, "detail": {"is": {}}}  # fmt: skip


def test_an_event_is_told_by_its_words_and_not_by_its_data():
    text = history_text([event("24-1182 for 24-1180: accepted")], 120)
    assert "24-1182 for 24-1180: accepted" in text
    assert "{" not in text


def test_a_long_event_is_cut_between_words():
    said = " ".join(f"KS-{number:05}" for number in range(60))
    shown = " ".join(history_text([event(said)], 400).split())
    assert "KS-00010" in shown and "KS-00059" not in shown
    assert shown.rstrip().endswith("…")
    last = shown.rstrip(" …").split()[-1]
    assert last in said.split(), "no number is cut"


def test_nothing_done_is_said():
    assert history_text([], 80) == "nothing was done yet"
