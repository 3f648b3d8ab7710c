"""Whole lists against each other: invented lists of pump parts, some lines without a partner."""

import random

import pytest

from partsdb.matching.two_lists.match import Matching, match_lists
from partsdb.matching.two_lists.records import Listing, Record

KINDS = ("valve kit", "packing kit", "whip hose", "swivel gun", "pressure gauge", "check valve")
ROLES = ("inlet", "outlet", "bypass", "delivery", "suction", "unloader", "relief", "lower", "upper")
STUFFS = (
    "tungsten carbide",
    "ceramic",
    "hardened steel",
    "brass",
    "stainless",
    "leather",
    "nitrile",
)


def invented(count: int) -> list[dict[str, str]]:
    """Parts of an invented catalogue; each neighbour of three is a sibling of the others."""
    rng = random.Random(11)
    parts = []
    for at in range(count):
        family = at // 3
        kind, role, stuff = (
            KINDS[family % 6], ROLES[family // 6 % 9], STUFFS[family // 7 % 7],
        )  # fmt: skip
        letters = "".join(rng.choice("QTVCPA") for _ in range(2))
        parts.append(
            {
                "number": f"{letters}{1000 + 37 * at}",
                "text": f"{kind} {role} {stuff} {3 * family + 6} mm",
                "bar": str((200, 250, 345)[at % 3]),
                "price": f"{5 + 3 * family + at % 3}.50",
            }
        )
    return parts


def ours(parts: list[dict[str, str]]) -> Listing:
    return Listing(
        ("name", "price"),
        tuple(
            Record(f"o{at}", (f"{p['text']} {p['bar']} bar - {p['number']}", p["price"]))
            for at, p in enumerate(parts)
        ),
    )


def theirs(parts: list[dict[str, str]], *, first: int = 0) -> Listing:
    return Listing(
        ("article", "remarks", "eur"),
        tuple(
            Record(
                f"t{at}",
                (f"{p['number'][:2]}-{p['number'][2:]}", f"{p['bar']} bar {p['text']}", p["price"]),
            )
            for at, p in enumerate(parts, first)
        ),
    )


def pairs_of(matching: Matching) -> set[tuple[str, str]]:
    return {(pair.left, pair.right) for pair in matching.settled}


def shuffled(listing: Listing, seed: int) -> Listing:
    rows = list(listing.records)
    random.Random(seed).shuffle(rows)
    return Listing(listing.headings, tuple(rows))


def test_siblings_that_differ_in_one_code_and_a_rating_are_not_confused():
    parts = invented(150)
    settled = pairs_of(match_lists(ours(parts), theirs(parts)))
    wrong = {(a, b) for a, b in settled if a[1:] != b[1:]}
    assert wrong == set()
    assert len(settled) >= 145


def test_lines_without_a_partner_stay_without_one():
    parts = invented(240)
    settled = pairs_of(match_lists(ours(parts[:160]), theirs(parts[80:], first=80)))
    true = {(f"o{at}", f"t{at}") for at in range(80, 160)}
    assert len(settled & true) >= 76
    assert len(settled - true) <= 4


@pytest.mark.parametrize("seed", [1, 2])
def test_the_order_of_the_rows_changes_nothing(seed):
    parts = invented(90)
    left, right = ours(parts), theirs(parts[30:], first=30)
    once = match_lists(left, right)
    again = match_lists(shuffled(left, seed), shuffled(right, seed + 10))
    assert again == once


def test_the_order_of_the_columns_changes_no_pair():
    parts = invented(90)
    left, right = ours(parts), theirs(parts)
    turned = Listing(
        right.headings[::-1], tuple(Record(r.ident, r.cells[::-1]) for r in right.records)
    )
    assert pairs_of(match_lists(left, turned)) == pairs_of(match_lists(left, right))


def test_no_row_is_in_two_pairs():
    parts = invented(120)
    settled = match_lists(ours(parts), theirs(parts[:60] + parts[:60])).settled
    assert len({pair.left for pair in settled}) == len(settled)
    assert len({pair.right for pair in settled}) == len(settled)


def test_at_most_ten_are_offered_and_the_partner_is_among_them():
    parts = invented(120)
    offered = match_lists(ours(parts), theirs(parts)).nearest
    assert max(map(len, offered.values())) <= 10
    assert all(f"t{left[1:]}" in rights for left, rights in offered.items())


def test_a_short_list_is_matched_by_the_first_score_because_it_teaches_nothing():
    parts = invented(12)
    matching = match_lists(ours(parts), theirs(parts))
    assert not matching.refined
    assert {(a, b) for a, b in pairs_of(matching) if a[1:] != b[1:]} == set()


@pytest.mark.parametrize(
    ("left", "right"),
    [((), ("a",)), (("a",), ()), ((), ()), (("",), ("",)), (("abc",), ("xyz",))],
)
def test_lists_with_nothing_in_common_make_no_pairs(left, right):
    lists = [
        Listing(("name",), tuple(Record(f"{side}{at}", (cell,)) for at, cell in enumerate(cells)))
        for side, cells in (("l", left), ("r", right))
    ]
    assert match_lists(*lists).settled == ()
