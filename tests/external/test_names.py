"""The key of a firm's name against 2,379 published spellings whose true firm is known."""

import csv
import io
from collections import Counter, defaultdict
from math import comb

import pytest

from partsdb.rules.makers import name_key

pytestmark = pytest.mark.external


@pytest.fixture(scope="module")
def spellings(package_text):
    member = "mismo/_data/_datasets/patstat/patents.csv"
    rows = list(csv.DictReader(io.StringIO(package_text("mismo", "0.4.1", member))))
    assert len(rows) == 2379
    return {(row["name"], row["label_true"]) for row in rows}


def firms_by_key(spellings, key):
    found = defaultdict(Counter)
    for name, firm in spellings:
        found[key(name)][firm] += 1
    return found


def test_no_key_takes_two_firms_for_one(spellings):
    found = firms_by_key(spellings, name_key)
    assert [key for key, firms in found.items() if len(firms) > 1] == []


def test_the_key_brings_together_what_case_alone_leaves_apart(spellings):
    def pairs(key):
        return sum(comb(sum(firms.values()), 2) for firms in firms_by_key(spellings, key).values())

    # Misspellings and places in the name are left to the matcher: the key only folds writing.
    assert pairs(name_key) > 10 * pairs(str.casefold)
