"""The index gives every part that the rules for one line could find, for each way on its own."""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import pytest

from partsdb.matching.affixes import Affix
from partsdb.matching.catalogue import CatalogueIndex, bare_key
from partsdb.matching.engine import related
from partsdb.matching.engine.index import open_index
from partsdb.matching.engine.related import parts_with_keys, related_parts
from partsdb.matching.hits import Hit, key_hits, proposed_hits, repaired_hits
from partsdb.matching.readings import CatalogueEntry
from partsdb.rules.numbers import number_key
from tests.matching.engine.test_large_lists import _slipped, odd_parts
from tests.matching.engine.two_ways import TwoWays


def hits_of(index: CatalogueIndex, code: str) -> list[Hit]:
    return [
        *key_hits(code, index),
        *repaired_hits(code, index, ()),
        *proposed_hits(code, index, ()),
    ]


@pytest.mark.parametrize("seed", range(4))
def test_no_part_that_a_number_may_mean_is_left_out(tmp_path: Path, seed: int):
    rng = random.Random(seed)
    parts = odd_parts(600, rng)
    whole, index = CatalogueIndex(parts), TwoWays(tmp_path, parts).indexed().index
    tiers: Counter[str] = Counter()
    for _ in range(300):
        code = _slipped(rng.choice(parts).number, rng)
        key = number_key(code)
        given = related_parts(index, [code], bare=[bare_key(key)]) | parts_with_keys(index, [key])
        for hit in hits_of(whole, code):
            tiers[hit.tier] += 1
            assert whole.entries[hit.place].part_id in given, (code, hit)
    assert min(tiers[tier] for tier in ("key", "form", "fold", "near", "cut short")) > 10


def test_many_numbers_at_once_lead_to_what_each_leads_to(tmp_path: Path, monkeypatch):
    rng = random.Random(9)
    parts = odd_parts(300, rng)
    index = TwoWays(tmp_path, parts).indexed().index
    codes = [_slipped(part.number, rng) for part in parts]
    bare = [bare_key(number_key(code)) for code in codes]
    each = [related_parts(index, [code], bare=[rest]) for code, rest in zip(codes, bare, strict=True)]
    monkeypatch.setattr(related, "_SLICE", 37)
    assert related_parts(index, codes, bare=bare) == set().union(*each)


def test_nothing_leads_to_nothing(tmp_path: Path):
    index = TwoWays(tmp_path, [CatalogueEntry(1, "Quillmere", "24-1180", "Ball")]).indexed().index
    for codes in ([], [""], ["--"], ["ZZ-99"], ["Ø"]):
        assert related_parts(index, codes, bare=["", *map(number_key, codes)]) == set()
        assert parts_with_keys(index, map(number_key, codes)) == set()


def test_a_number_with_which_very_many_begin_proposes_none_of_them(tmp_path: Path):
    def begun_by(code: str, count: int) -> list[int]:
        parts = [
            CatalogueEntry(at, "Quillmere", f"{code}{at:03}", "Ball") for at in range(1, count + 1)
        ]
        return CatalogueIndex(parts).extended(code)

    assert len(begun_by("8812", 200)) == 200
    assert begun_by("8812", 201) == []


def test_what_an_affix_leaves_is_looked_up_like_a_number(tmp_path: Path):
    parts = odd_parts(200, random.Random(2))
    whole, index = CatalogueIndex(parts), TwoWays(tmp_path, parts).indexed().index
    affix = Affix("prefix", "NF", 9)
    for part in parts:
        rest = affix.stripped(f"NF{number_key(part.number)}")
        given = related_parts(index, [rest], bare=[bare_key(rest)]) if rest else set()
        given |= parts_with_keys(index, [rest])
        hits = proposed_hits(f"NF{part.number}", whole, (affix,)) if rest else []
        near = {whole.entries[hit.place].part_id for hit in hits}
        own = related_parts(index, [f"NF{part.number}"], bare=[bare_key(f"NF{rest}")])
        assert near <= given | own


def test_an_index_taken_away_is_none(tmp_path: Path):
    assert open_index(tmp_path / "nowhere") is None
