"""What is known on a day: no row of a large table comes in without being told of."""

from __future__ import annotations

import pytest

from partsdb.jobs.catalogue import take
from partsdb.jobs.known import answered_as_of
from partsdb.store import sql
from partsdb.store.known import entered_after


@pytest.mark.parametrize("table", ["offer", "claim", "stands_in"])
def test_an_event_or_a_list_bears_the_time_of_every_row(in_shop_with_lists, table):
    """So that a day's last entry is found without looking through the whole table."""
    take("claims", {"maker": "Quillmere", "number": "24-1180", "kind": "rating", "value": "3400 psi",
                    "evidence": "measured here", "source": "bench sheet 9"})  # fmt: skip
    told = "SELECT at FROM event UNION SELECT read_at FROM price_list"
    [(rows, untold)] = sql.rows(
        f"SELECT count(*), sum(made_at NOT IN ({told})) FROM {table} WHERE made_at <> ''"
    )
    assert rows > 100
    assert untold == 0


def test_one_claim_is_enough_to_have_been_entered_since(in_shop_with_lists):
    assert not entered_after("2026-11-20")
    take("claims", {"maker": "Quillmere", "number": "24-1180", "kind": "rating", "value": "3400 psi",
                    "evidence": "measured here", "source": "bench sheet 9"})  # fmt: skip
    assert entered_after("2026-11-20")
    assert "what was entered since is left out" in answered_as_of("2026-11-20")
