"""Taking a list in: the whole or nothing, once, told beforehand, and taken back whole."""

from __future__ import annotations

import shutil
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
from shop_lists import DAY
from small_shop import BY, price_list

from partsdb.errors import InputRefusedError, NotFoundError, UsageError
from partsdb.jobs.instead import InsteadAsk, instead
from partsdb.jobs.intake import IntakeAsk, intake, withdraw
from partsdb.jobs.list_answers import BatchAnswer
from partsdb.jobs.vet import VetAsk, vet
from partsdb.store import catalogue, claims, edges, lists, makers, offers, sql
from partsdb.store.connect import open_database

KIT = '24-1180,Quillmere,"Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi"'
OTHER = '24-1182,Quillmere,"Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3600 psi"'
OWN = 'SR 7001,,"Valve kit, bypass, Q33, 1/4 NPT, replaces 24-1180, WC ball and seat, 3400 psi"'
STORED = ("price_list", "line", "reading", "offer", "price_break", "claim", "stands_in", "part",
          "kit_item", "maker", "list_profile", "event", "condition")  # fmt: skip


def read(path: Path, supplier: str = "Saltreeve", **asked: Any) -> BatchAnswer:
    return intake(IntakeAsk(path, supplier, DAY, **asked), BY)


def contents(*tables: str) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of the tables, so that "nothing changed" means not one cell."""
    return {t: sql.rows(f"SELECT * FROM {t} ORDER BY 1, 2") for t in tables or STORED}


def live(number: str, supplier: str = "Saltreeve") -> list[Any]:
    found = offers.live_offers([p.id for p in catalogue.find_parts(number)], DAY)
    return [offer for offer in found if offer.supplier == supplier]


@pytest.fixture
def shop(bypass_shop: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(bypass_shop, tmp_path / "shop.db"))


@pytest.fixture
def plain_list(in_shop: Path, tmp_path: Path) -> Path:
    return price_list(tmp_path, [f"{KIT},61.90", f"{OTHER},71.90", f"{OWN},33.50"])


def test_a_list_becomes_offers_and_the_suppliers_own_part(plain_list):
    answer = read(plain_list)
    assert (answer.offers, answer.own_parts) == (3, 1)
    assert (answer.summary["offer"], answer.summary["replacement"]) == (2, 1)
    assert [offer.price_e4 for offer in live("24-1180")] == [619_000]
    (own,) = catalogue.find_parts("SR 7001")
    assert (own.maker, own.role, own.price_list_id) == ("Saltreeve", "valve kit", answer.batch)


def test_a_dry_run_tells_all_of_it_and_stores_nothing(plain_list):
    before = contents()
    planned = read(plain_list, dry_run=True)
    assert contents() == before
    done = read(plain_list)
    assert planned.batch is None
    assert (planned.summary, planned.changes, planned.offers, planned.own_parts) == (
        done.summary, done.changes, done.offers, done.own_parts,
    )  # fmt: skip
    assert done.changes == {"new": 3, "changed": 0, "same": 0, "gone": 0}


def test_the_same_file_again_changes_not_one_row(plain_list, tmp_path):
    first = read(plain_list)
    before = contents()
    again = read(Path(shutil.copy(plain_list, tmp_path / "other name.csv")))
    assert contents() == before
    assert (again.is_repeat, again.batch, again.offers) == (True, first.batch, first.offers)
    assert again.summary == first.summary


def test_the_same_file_again_leaves_the_same_bytes(shop, tmp_path):
    path = price_list(tmp_path, [f"{KIT},61.90"])

    def bytes_after_reading() -> bytes:
        with open_database(shop, write=True):
            read(path)
        return shop.read_bytes()

    assert bytes_after_reading() == bytes_after_reading()


@pytest.mark.parametrize("dry_run", [True, False])
def test_a_new_issue_is_told_against_the_one_before(plain_list, tmp_path, dry_run):
    read(plain_list)
    hose = '27-1243,Quillmere,"Hose, airless, conductive, 1/4 in x 15 m, 3300 psi",88.00'
    issue = price_list(tmp_path, [f"{KIT},65.90", f"{OTHER},71.90", hose], name="next.csv")
    told = read(issue, dry_run=dry_run)
    assert told.changes == {"new": 1, "changed": 1, "same": 1, "gone": 1}


def test_a_new_issue_replaces_the_old_price(plain_list, tmp_path):
    read(plain_list)
    read(price_list(tmp_path, [f"{KIT},65.90"], name="next.csv"))
    assert [offer.price_e4 for offer in live("24-1180")] == [659_000]


def test_two_suppliers_may_send_the_same_file(plain_list):
    assert read(plain_list).batch != read(plain_list, "Kestrow").batch
    assert len(live("24-1180")) == len(live("24-1180", "Kestrow")) == 1


def test_withdrawing_takes_back_offers_claims_edges_and_own_parts(plain_list):
    before = contents("offer", "claim", "part", "stands_in")
    batch = read(plain_list).batch or 0
    (own,) = catalogue.find_parts("SR 7001")
    gone = withdraw(batch, "wrong year", BY)
    assert gone["parts"] == 1
    assert gone["offers"] == 3
    assert gone["edges"] == 1
    assert gone["claims"] >= 2
    assert catalogue.find_parts("SR 7001") == []
    assert live("24-1180") == []
    assert claims.claims_of([own.id]) == []
    assert edges.edges_into(own.id) == []
    for table, rows in before.items():
        still = (
            sql.rows(f"SELECT * FROM {table} WHERE withdrawn_at IS NULL ORDER BY 1, 2")
            if table != "stands_in"
            else sql.rows("SELECT * FROM stands_in_now ORDER BY 1, 2")
        )
        assert len(still) == len(rows), table
    head = lists.list_row(batch)
    assert head is not None
    assert head.withdrawn_why == "wrong year"


def test_a_withdrawn_list_may_be_read_again_and_its_own_parts_come_back(plain_list):
    first = read(plain_list)
    withdraw(first.batch or 0, "by mistake", BY)
    again = read(plain_list)
    assert again.batch != first.batch
    assert not again.is_repeat
    (own,) = catalogue.find_parts("SR 7001")
    assert own.price_list_id == again.batch
    assert len(edges.edges_into(own.id)) == 1


def test_only_a_batch_that_stands_can_be_withdrawn(plain_list):
    batch = read(plain_list).batch or 0
    withdraw(batch, "", BY)
    with pytest.raises(UsageError, match="withdrawn already"):
        withdraw(batch, "", BY)
    with pytest.raises(NotFoundError, match="no price list '999'"):
        withdraw(999, "", BY)


# What breaks half-way through must leave no trace at all.
BREAKS = ("lists.add_lines", "claims.add_claims", "edges.add_edges", "offers.add_offers",
          "lists.add_readings", "lists.save_profile", "events.record")  # fmt: skip


@pytest.mark.parametrize("where", BREAKS)
def test_a_reading_that_fails_half_way_leaves_nothing_stored(shop, tmp_path, monkeypatch, where):
    path = price_list(tmp_path, [f"{KIT},61.90", f"{OWN},33.50"])
    with open_database(shop):
        before = contents()

    def fail(*arguments: Any, **named: Any) -> None:
        raise RuntimeError("the disk is gone")

    module, function = where.split(".")
    monkeypatch.setattr(import_module(f"partsdb.store.{module}"), function, fail)
    with pytest.raises(RuntimeError, match="the disk is gone"), open_database(shop, write=True):
        read(path)
    monkeypatch.undo()
    with open_database(shop):
        assert contents() == before


# Prices


def test_one_code_with_two_prices_makes_no_offer_of_either(in_shop, tmp_path):
    answer = read(price_list(tmp_path, [f"{KIT},61.90", f"{OTHER},71.90", f"{KIT},16.90"]))
    assert live("24-1180") == []
    assert len(live("24-1182")) == 1
    assert answer.offers == 1
    told = [problem for problem in answer.problems if "another price" in problem]
    assert told == [
        "row 2: no offer: the code stands at row 4 with another price",
        "row 4: no offer: the code stands at row 2 with another price",
    ]


def test_one_code_twice_at_one_price_is_no_dispute(in_shop, tmp_path):
    answer = read(price_list(tmp_path, [f"{KIT},61.90", f"{KIT},61.90"]))
    assert answer.problems == ()
    assert {offer.price_e4 for offer in live("24-1180")} == {619_000}


def test_the_same_price_for_one_and_for_a_hundred_is_no_dispute(in_shop, tmp_path):
    head = "Part number,Manufacturer,Description,Price EUR,Price per"
    rows = [f"{KIT},61.90,1", f"{KIT},6190.00,100"]
    assert read(price_list(tmp_path, rows, head=head)).problems == ()
    assert len(live("24-1180")) >= 1


def test_a_price_per_hundred_costs_a_hundredth_each(in_shop, tmp_path):
    head = "Part number,Manufacturer,Description,Price EUR,Price per"
    read(price_list(tmp_path, [f"{KIT},145.00,100"], head=head))
    (offer,) = live("24-1180")
    assert (offer.price_e4, offer.price_per) == (1_450_000, 100)  # handbook 5.4: 145 EUR per 100


def test_price_breaks_are_stored_with_the_offer(in_shop, tmp_path):
    head = "Part number,Manufacturer,Description,Price EUR,Price EUR from 10,Price EUR from 25"
    read(price_list(tmp_path, [f"{KIT},12.60,12.00,11.20"], head=head))
    (offer,) = live("24-1180")
    assert offer.breaks == ((10, 120_000), (25, 112_000))


@pytest.mark.parametrize("price", ["POA", "on request", "", "0.00", "-12.00", "call"])
def test_a_row_without_a_firm_price_is_read_and_makes_no_offer(in_shop, tmp_path, price):
    answer = read(price_list(tmp_path, [f"{KIT},{price}", f"{OTHER},71.90"]))
    assert live("24-1180") == []
    assert answer.summary["offer"] == 2
    assert answer.offers == 1
    assert any(problem.startswith("row 2: ") for problem in answer.problems)


def test_a_price_finer_than_a_ten_thousandth_is_kept_to_the_last_digit(in_shop, tmp_path):
    read(price_list(tmp_path, [f"{KIT},0.012345", f"{OTHER},71.90"]))
    (offer,) = live("24-1180")
    assert (offer.price_e4, offer.price_per) == (12_345, 100)  # 1.2345 for a hundred


def test_a_row_in_an_unknown_currency_is_told_and_the_others_are_taken(in_shop, tmp_path):
    head = "Part number,Manufacturer,Description,Price,Currency"
    answer = read(price_list(tmp_path, [f"{KIT},61.90,XQX", f"{OTHER},71.90,GBP"], head=head))
    assert live("24-1180") == []
    assert [offer.currency for offer in live("24-1182")] == ["GBP"]
    assert any(p.startswith("row 2: ") and "XQX" in p for p in answer.problems)


NO_CURRENCY = "Part number,Manufacturer,Description,Price"


def test_a_list_without_any_currency_is_in_that_of_the_suppliers_terms(in_shop, tmp_path):
    answer = read(price_list(tmp_path, [f"{KIT},61.90"], head=NO_CURRENCY))
    assert [offer.currency for offer in live("24-1180")] == ["GBP"]  # Saltreeve's terms
    assert any("GBP" in said and "terms" in said for said in answer.assumptions)


def test_without_currency_and_without_terms_the_list_is_refused_in_one_sentence(in_shop, tmp_path):
    makers.add_supplier("Rushholme")
    before = contents()
    path = price_list(tmp_path, [f"{KIT},61.90"], head=NO_CURRENCY)
    with pytest.raises(InputRefusedError) as refused:
        read(path, "Rushholme")
    assert str(refused.value) == (
        "list.csv: no price can be taken from the list: no offer: the price names no currency"
    )
    assert "--currency" in refused.value.hint
    assert contents() == before
    assert read(path, "Rushholme", currency="eur").offers == 1


def test_an_unknown_supplier_or_currency_is_refused_before_anything_is_stored(plain_list):
    before = contents()
    with pytest.raises(NotFoundError, match="no supplier 'Saltreve'") as refused:
        read(plain_list, "Saltreve")
    assert "Saltreeve" in refused.value.hint
    with pytest.raises(UsageError, match="XQX"):
        read(plain_list, currency="XQX")
    assert contents() == before


# Replacements


def test_a_replacement_is_the_suppliers_word_proposed_and_never_fit(plain_list):
    batch = read(plain_list).batch
    (asked,), (own,) = catalogue.find_parts("24-1180"), catalogue.find_parts("SR 7001")
    edge = edges.edge_of(asked.id, own.id)
    assert edge is not None
    assert (edge.state, edge.evidence, edge.decided) == ("proposed", "supplier's word", False)
    assert edge.source == "list.csv, A4"
    assert edge.price_list_id == batch
    levels = {row.claim.evidence for row in claims.claims_of([own.id])}
    assert levels == {"supplier's word"}
    candidates = instead(InsteadAsk("24-1180", DAY, machine="Q33")).candidates
    (found,) = [each for each in candidates if each.number == "SR 7001"]
    assert found.verdict == "ask first"


@pytest.mark.parametrize(
    ("brand", "whose"),
    [
        ("", "Saltreeve"),
        ("Quillmere", "Saltreeve"),  # the maker replaced: the article is not that maker's
        ("QUILLMERE", "Saltreeve"),
        ("Corowby", "Corrowby"),  # a slip of the finger is no new maker
        ("Corrowby", "Corrowby"),
        ("Newbrand", "Saltreeve"),  # nobody knows it
    ],
)
def test_whose_part_a_replacement_is(in_shop, tmp_path, brand, whose):
    row = f'SR 9,{brand},"Valve kit bypass Q33, replaces 24-1180, 3300 psi",41.00'
    read(price_list(tmp_path, [row]))
    (own,) = catalogue.find_parts("SR 9")
    assert own.maker == whose
    names = {maker.name for maker in makers.maker_rows()}
    assert names <= {"Quillmere", "Corrowby", "Saltreeve"}


def test_a_replacement_without_a_number_of_its_own_is_no_offer_of_the_part_it_replaces(
    in_shop, tmp_path
):
    (asked,) = catalogue.find_parts("24-1180")
    known = claims.claims_of([asked.id])
    row = ',,"Valve kit, bypass, Q33, replaces Quillmere 24-1180, 3300 psi",19.00'
    answer = read(price_list(tmp_path, [row, f"{OTHER},71.90"]))
    assert answer.summary["replacement"] == 1
    assert (answer.offers, answer.own_parts, live("24-1180")) == (1, 0, [])
    assert answer.problems == ("row 2: no offer: the article has no number of its own",)
    assert claims.claims_of([asked.id]) == known


def test_what_a_list_claims_of_a_part_of_ours_sets_no_rating_there(in_shop, tmp_path):
    (kit,) = catalogue.find_parts("24-1180")
    row = '24-1180,Quillmere,"Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 9000 psi",61.90'
    read(price_list(tmp_path, [row]))
    rated = [r.claim for r in claims.claims_of([kit.id]) if r.claim.kind == "rating"]
    levels = {claim.evidence: claim.value for claim in rated}
    assert levels["maker's document"] == "3300 psi"
    own = instead(InsteadAsk("24-1178", DAY)).candidates
    shown = next(c for c in own if c.number == "24-1180")
    assert "9000" not in " ".join(c.text for c in shown.checks if c.outcome == "meets")


def test_a_kit_of_the_shops_keeps_the_contents_that_the_shop_states(in_shop, tmp_path):
    (kit,) = catalogue.find_parts("CW 40311")
    before = claims.part_facts([kit.id])[kit.id].contents
    row = 'CW 40311,Corrowby,"Valve kit, replaces 24-1180, contents: ball, seat",41.00'
    read(price_list(tmp_path, [row]))
    assert claims.part_facts([kit.id])[kit.id].contents == before


# A stored batch


def test_vetting_a_stored_batch_is_vetting_its_file(in_shop, tmp_path):
    rows = [f"{KIT},61.90", f"{OTHER},71.90", f"{OTHER},7.90", f"{OWN},33.50", "Hoses",
            'X9,,"Hose, 3/8 in, 200 bar",9.00', 'G1,,"Garden gnome, blue",5.00',
            '9.99E+11,Quillmere,"Valve kit",4.00', "Total,,,199.00"]  # fmt: skip
    path = price_list(tmp_path, rows)
    batch = read(path).batch
    of_file = vet(VetAsk(path, DAY, "Saltreeve"))
    assert vet(VetAsk(Path(str(batch)), DAY)) == of_file
    assert len({line.reading for line in of_file.lines}) >= 4


def test_a_batch_that_is_unknown_or_withdrawn_is_not_vetted(plain_list):
    batch = read(plain_list).batch or 0
    withdraw(batch, "", BY)
    with pytest.raises(UsageError, match="was withdrawn"):
        vet(VetAsk(Path(str(batch)), DAY))
    with pytest.raises(NotFoundError):
        vet(VetAsk(Path("4711"), DAY))


@pytest.mark.parametrize(
    ("price", "why"),
    [("POA", "row 2: no price: POA"), ("'12,50", 'row 2: no price can be read from "\'12,50"')],
)
def test_a_list_without_any_price_is_refused_with_the_row_of_the_reason(
    in_shop, tmp_path, price, why
):
    path = tmp_path / "list.csv"
    path.write_text(f"Part no.;Description;Price EUR\nA-1;Seal kit;{price}\nA-2;Ball;{price}\n")
    with pytest.raises(InputRefusedError) as refused:
        read(path)
    assert str(refused.value) == (
        f"list.csv: no price can be taken from the list: {why} (and 1 row more)"
    )


def test_a_list_of_list_prices_alone_says_what_is_missing(in_shop, tmp_path):
    path = tmp_path / "list.csv"
    path.write_text("Part no.;Description;List price EUR;RG\nA-1;Seal kit;12.50;B\n")
    with pytest.raises(InputRefusedError, match="only list prices are given, no net price: ask"):
        read(path)
