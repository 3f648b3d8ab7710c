"""The change radar: what a second list of the same supplier changed, and what waits for a person."""

from __future__ import annotations

from pathlib import Path

import pytest

from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs.changes import accept_changes, changes_of
from partsdb.jobs.intake import IntakeAsk, intake, withdraw
from partsdb.jobs.settings import change_setting
from partsdb.jobs.who import stamp
from partsdb.store import claims, events, integrity, offers

HEAD = "Part no.;Manufacturer;Description;Material;Working pressure;Price EUR;Per;Unit;Pack\n"
# Maker and number are those of the shop's own catalogue, so that the line offers that very part.
KIT = "24-1201;Quillmere;Valve kit, bypass, Q28, 1/4 NPT, WC ball and seat;;2800 psi;{};{};{};{}\n"
FILLER = "".join(f"X-{n};;Garden hose {n} m;;;{n}.50;1;EA;1\n" for n in range(10, 20))
DAY = "2026-11-20"


def kit(price: str = "72.38", per: str = "1", unit: str = "EA", pack: str = "1") -> str:
    return KIT.format(price, per, unit, pack)


@pytest.fixture
def read(in_shop, tmp_path):
    def take(body: str, *, supplier: str = "Saltreeve", dry_run: bool = False, head: str = HEAD):
        path = Path(tmp_path / "list.csv")
        path.write_text(head + body, encoding="utf-8")
        return intake(IntakeAsk(path, supplier, DAY, dry_run=dry_run), stamp())

    return take


def part_id(batch: int) -> int:
    return offers.offers_of_list(batch)[0].part_id


def live(part: int, batch: int | None = None) -> list[int]:
    found = offers.live_offers([part], DAY)
    return [o.price_e4 for o in found if o.supplier == "Saltreeve"]


def kinds(batch: int) -> dict[str, bool]:
    return {change.kind: change.waits for change in changes_of(batch).changes}


@pytest.mark.parametrize(
    ("line", "kind", "waits"),
    [
        (kit("75.00"), "price", False),
        (kit("93.00"), "price", False),  # +28.5 %
        (kit("95.00"), "price jump", True),  # +31.3 %
        (kit("50.00"), "price jump", True),  # -30.9 %
        (kit("723.80"), "price ×10", True),
        (kit("7238"), "price ×100", True),
        (kit("75100"), "price ×1000", True),
        (kit("0.72"), "price ÷100", True),
        (kit(per="100"), "price ÷100", True),
        (kit(unit="PR"), "unit", True),
        (kit(pack="5"), "pack", True),
        (kit().replace("2800", "3300"), "rating working raised", True),
        (kit().replace("2800", "2500"), "rating working lowered", True),
        (kit().replace("2800 psi", ""), "rating working gone", False),
        (kit().replace("WC ball", "440C ball"), "material ball", True),
        (kit().replace("WC ball", "ball"), "material ball gone", False),
        (kit().replace("bypass", "bypass, replaced by 24-1201B"), "superseded", False),
        (kit().replace(";;2800", ";brass;2800"), "material new", False),
    ],
)
def test_each_change_of_a_line_has_its_kind_and_waits_or_not(read, line, kind, waits):
    read(kit() + FILLER)
    batch = read(line + FILLER).batch
    assert kinds(batch)[kind] is waits


BALL = "X-1;;Ball 3/8;{};;5.00;1;EA;1\n"


@pytest.mark.parametrize(
    ("was", "now", "kind"),
    [
        ("440C", "316", "material"),  # a bare grade, as columns of materials hold it
        ("440C stainless", "tungsten carbide", "material"),
        ("440C", "hardened alloy X", "material words"),  # nothing that a table knows
        ("hardened alloy X", "hardened alloy Y", "material words"),
    ],
)
def test_another_material_in_its_column_waits_whatever_words_it_is_in(read, was, now, kind):
    read(BALL.format(was) + FILLER)
    batch = read(BALL.format(now) + FILLER).batch
    assert kinds(batch)[kind] is True
    (change,) = (each for each in changes_of(batch).changes if each.kind == kind)
    assert change.code == "X-1" and change.waits


def test_the_same_material_in_other_words_is_no_change(read):
    read(BALL.format("316 stainless steel") + FILLER)
    assert kinds(read(BALL.format("316") + FILLER).batch) == {}


BREAKS = "Part no.;Manufacturer;Description;Price EUR;Price from 10;Price from 50\n"
BROKEN = "24-1201;Quillmere;Valve kit, bypass, Q28, 1/4 NPT;72.38;{};{}\n"
REST = "".join(f"X-{n};;Garden hose {n} m;{n}.50;;\n" for n in range(10, 20))


@pytest.mark.parametrize(
    ("ten", "fifty", "found"),
    [
        ("68.00", "60.00", {}),
        ("69.00", "60.00", {"price from 10": False}),
        ("680.00", "60.00", {"price ×10 from 10": True}),
        ("68.00", "0.60", {"price ÷100 from 50": True}),
        ("68.00", "90.00", {"price jump from 50": True}),  # +50 %
        ("68.00", "", {"price from 50 gone": False}),
    ],
)
def test_a_price_break_is_watched_like_a_price(read, ten, fifty, found):
    read(BROKEN.format("68.00", "60.00") + REST, head=BREAKS)
    batch = read(BROKEN.format(ten, fifty) + REST, head=BREAKS)
    assert kinds(batch.batch) == found
    planned = {line.what for line in batch.plan}
    assert planned == ({"changed"} if found else set()), "the plan tells what changed too"


def test_a_new_price_break_is_told(read):
    read(BROKEN.format("68.00", "") + REST, head=BREAKS)
    assert kinds(read(BROKEN.format("68.00", "60.00") + REST, head=BREAKS).batch) == {
        "price from 50 new": False
    }


@pytest.mark.parametrize(
    ("line", "why"),
    [
        (kit().replace("2800", "3300"), "raised without a document"),
        (kit(unit="C62"), "the unit was EA, now C62"),
    ],
)
def test_what_waits_at_the_same_price_stands_in_the_plan(read, line, why):
    read(kit() + FILLER)
    answer = read(line + FILLER, dry_run=True)
    (planned,) = (each for each in answer.plan if each.code == "24-1201")
    assert (planned.what, planned.was, planned.now) == ("changed", "72.38 EUR", "72.38 EUR")
    assert planned.note.startswith("waits for a person: ") and why in planned.note
    assert answer.changes == {"new": 0, "changed": 1, "same": 0, "gone": 0}


def test_another_price_break_alone_is_named_in_the_plan(read):
    read(BROKEN.format("68.00", "60.00") + REST, head=BREAKS)
    answer = read(BROKEN.format("67.00", "60.00") + REST, head=BREAKS, dry_run=True)
    assert [each.note for each in answer.plan] == ["another price breaks"]


def test_an_article_that_the_list_calls_replaced_is_told_and_nothing_is_taken_from_it(read):
    before = integrity.supersession_pairs()
    answer = read(kit().replace(" seat", " seat, superseded by 24-1201B") + FILLER)
    (said,) = (each for each in answer.assumptions if "was replaced" in each)
    assert "1 row says" in said and "row 2 (24-1201: superseded by 24-1201B)" in said
    assert "partsdb part supersede" in said
    assert integrity.supersession_pairs() == before


def test_a_column_of_successors_is_told_too(read):
    head = "Part no.;Manufacturer;Description;Price EUR;Replaced by\n"
    answer = read("24-1201;Quillmere;Valve kit, bypass;72.38;24-1201B\n", head=head)
    assert any("row 2 (24-1201: replaced by 24-1201B)" in each for each in answer.assumptions)


def test_a_waiting_offer_is_offered_to_nobody_until_a_person_accepts_it(read):
    first = read(kit() + FILLER).batch
    part = part_id(first)
    assert live(part) == [723800]
    answer = read(kit("0.72") + FILLER)
    assert any("1 offer waits for a person and is offered" in said for said in answer.cautions)
    assert live(part) == []
    assert changes_of(answer.batch).waiting == 1
    assert accept_changes(answer.batch, ["24-1201"], stamp()) == 1
    assert live(part) == [7200]
    assert changes_of(answer.batch).waiting == 0
    assert events.history("price list", answer.batch)[0].action == "accept changes"


def test_a_raised_rating_is_no_claim_before_a_person_accepts_it(read):
    part = part_id(read(kit() + FILLER).batch)
    batch = read(kit().replace("2800", "3300") + FILLER).batch

    def figures() -> list[str]:
        found = claims.claims_of([part])
        return [
            c.claim.value for c in found if c.price_list_id == batch and c.claim.kind == "rating"
        ]

    assert figures() == []
    accept_changes(batch, [], stamp())
    assert figures() == ["3300 psi"]


def test_a_lowered_rating_is_stored_at_once(read):
    part = part_id(read(kit() + FILLER).batch)
    batch = read(kit().replace("2800", "2500") + FILLER).batch
    found = [c.claim.value for c in claims.claims_of([part]) if c.price_list_id == batch]
    assert "2500 psi" in found


def test_a_code_that_waits_for_nobody_is_refused(read):
    read(kit() + FILLER)
    batch = read(kit("0.72") + FILLER).batch
    with pytest.raises(UsageError, match="X-12 waits"):
        accept_changes(batch, ["X-12"], stamp())


def test_what_a_renewed_list_no_longer_has_is_no_longer_offered(read):
    part = part_id(read(kit() + FILLER).batch)
    batch = read(FILLER).batch
    assert live(part) == []
    assert kinds(batch) == {"gone": False}
    withdraw(batch, "wrong file", stamp())
    assert live(part) == [723800]


def test_a_chain_of_lists_stays_renewed_when_one_in_the_middle_is_withdrawn(read):
    part = part_id(read(kit() + FILLER).batch)
    middle = read(FILLER + "X-90;;Garden shears;;;9.50;1;EA;1\n").batch
    read(FILLER + "X-91;;Garden fork;;;9.50;1;EA;1\n")
    withdraw(middle, "", stamp())
    assert live(part) == []


def test_a_leaflet_with_other_articles_stands_beside_the_list(read):
    part = part_id(read(kit() + FILLER).batch)
    leaflet = read("Y-1;;Garden chair;;;9.50;1;EA;1\nY-2;;Table;;;9.50;1;EA;1\n")
    assert leaflet.changes["gone"] == 0
    assert live(part) == [723800]


def test_another_suppliers_list_takes_nothing_away(read):
    part = part_id(read(kit() + FILLER).batch)
    read(FILLER, supplier="Kestrow")
    assert live(part) == [723800]


def test_an_article_that_comes_back_is_told_from_a_new_one(read):
    read(kit() + FILLER)
    read(FILLER)
    batch = read(kit() + FILLER + "X-92;;Garden rake;;;9.50;1;EA;1\n").batch
    assert {(c.kind, c.code) for c in changes_of(batch).changes} == {
        ("returned", "24-1201"), ("new", "X-92"),
    }  # fmt: skip


@pytest.mark.parametrize("gap", ["", "POA"])
@pytest.mark.parametrize(
    ("price", "kind", "held"),
    [
        ("7238", "price ×100", 1),
        ("75.00", "price", 0),
        ("72.38", "", 0),
        ("0.7238", "price ÷100", 1),
    ],
)
def test_an_article_that_comes_back_is_held_against_its_last_price(read, gap, price, kind, held):
    part = part_id(read(kit() + FILLER).batch)
    between = kit(gap) + FILLER if gap else FILLER
    read(between)
    read(between + "X-90;;Garden shears;;;9.50;1;EA;1\n")
    answer = read(kit(price) + FILLER + "X-91;;Garden fork;;;9.50;1;EA;1\n")
    changes = [c for c in changes_of(answer.batch).changes if c.code == "24-1201"]
    back = "price again" if gap else "returned"
    assert [c.kind for c in changes if c.kind != back] == ([kind] if kind else [])
    assert [(c.was, c.now) for c in changes if c.kind == back] == [
        ("72.38 EUR", f"{float(price):g} EUR")
    ]
    assert len(offers.held_offers(answer.batch)) == held
    assert bool(live(part)) is not bool(held)


def test_a_price_of_a_withdrawn_list_is_no_last_price(read):
    wrong = read(kit("7238") + FILLER).batch
    read(FILLER + "X-90;;Garden shears;;;9.50;1;EA;1\n")
    withdraw(wrong, "wrong list", stamp())
    answer = read(kit() + FILLER)
    assert {(c.kind, c.was) for c in changes_of(answer.batch).changes if c.code == "24-1201"} == {
        ("new", "")
    }
    assert not offers.held_offers(answer.batch)


def test_a_first_list_has_nothing_to_be_compared_with(read):
    answer = changes_of(read(kit() + FILLER).batch)
    assert (answer.before, answer.changes) == (None, ())
    with pytest.raises(NotFoundError):
        changes_of(999)


def test_the_setting_says_how_far_a_price_may_move(read):
    change_setting("price_jump", "0.05", stamp())
    read(kit() + FILLER)
    assert kinds(read(kit("77.00") + FILLER).batch) == {"price jump": True}


def test_the_plan_names_new_changed_gone_and_refused_with_their_places(read):
    read(kit() + FILLER)
    answer = read(
        kit("75.00")
        + FILLER.replace("X-10;;Garden hose 10 m;;;10.50", "X-10;;Garden hose 10 m;;;POA")
        + "KV-9;Corrowby;Valve kit, replaces 24-1203;;;70.00;1;EA;1\n",
        dry_run=True,
    )
    assert answer.batch is None
    plan = {line.what: line for line in answer.plan}
    changed = plan["changed"]
    assert (changed.place, changed.code) == ("row 2", "24-1201")
    assert (changed.was, changed.now) == ("72.38 EUR", "75 EUR")
    assert (plan["refused"].place, plan["refused"].note) == ("row 3", "no price: POA")
    assert plan["new"].code == "KV-9"
    assert answer.changes["same"] + answer.changes["changed"] == 1


def test_the_plan_of_a_dry_run_is_what_reading_then_does(read):
    read(kit() + FILLER)
    body = kit("75.00") + FILLER
    planned = read(body, dry_run=True)
    done = read(body)
    assert (planned.plan, planned.changes) == (done.plan, done.changes)


def lettered(**prices: str) -> str:
    """Return hoses under codes that begin with letters, of which keys hold A to Z alone."""
    codes = {"zhe": "\u041624", "u": "\u00dc24", "plain": "24"}
    return FILLER + "".join(
        f"{codes[name]};;Garden hose {name};;;{price};1;EA;1\n" for name, price in prices.items()
    )


def test_codes_that_differ_in_a_letter_that_no_key_holds_are_compared_each_with_its_own(read):
    read(lettered(zhe="10.00", plain="100.00"))
    batch = read(lettered(u="10.00", plain="101.00")).batch
    told = {change.code: change.kind for change in changes_of(batch).changes}
    assert told == {"\u041624": "gone", "\u00dc24": "new", "24": "price"}


def test_what_comes_back_under_another_letter_is_new(read):
    read(lettered(zhe="10.00"))
    read(FILLER)
    batch = read(lettered(u="1000.00")).batch
    assert {c.code: (c.kind, c.waits) for c in changes_of(batch).changes} == {
        "\u00dc24": ("new", False)
    }
    again = read(lettered(zhe="1000.00")).batch
    assert any(c.code == "\u041624" and c.waits for c in changes_of(again).changes)


def test_a_list_whose_codes_share_only_their_figures_renews_none(read):
    first = "".join(f"\u0416-{n};;Garden hose {n} m;;;{n}.50;1;EA;1\n" for n in range(10, 20))
    read(first)
    assert not any("renews" in said for said in read(first.replace("\u0416", "\u00dc")).assumptions)
    again = read(first.replace(".50", ".60"))
    assert any("renews batch 1" in said for said in again.assumptions)


def test_a_held_line_is_let_through_by_its_whole_code(read):
    read(lettered(zhe="10.00", u="10.00").replace("Garden hose", "Seal kit, 18 mm,"))
    risen = lettered(zhe="1000.00", u="1000.00").replace("Garden hose", "Seal kit, 18 mm,")
    batch = read(risen).batch
    waiting = changes_of(batch).waiting
    with pytest.raises(UsageError, match="nothing of 24 waits"):
        accept_changes(batch, ["24"], stamp())
    assert accept_changes(batch, ["\u041624"], stamp()) == 1
    assert changes_of(batch).waiting == waiting - 1


def test_what_is_gone_stands_in_the_batch_before_and_says_so(read):
    first = read(FILLER + kit()).batch
    batch = read(FILLER).batch
    (gone,) = [change for change in changes_of(batch).changes if change.kind == "gone"]
    assert (gone.code, gone.place) == ("24-1201", f"batch {first}, row 12")


def test_the_caution_about_waiting_offers_names_the_batch_that_shows_them(read):
    read(FILLER + kit("10.00"))
    planned = read(FILLER + kit("1000.00"), dry_run=True)
    assert any("once it is stored, partsdb pricelist changes BATCH" in c for c in planned.cautions)
    stored = read(FILLER + kit("1000.00"))
    assert any(f"partsdb pricelist changes {stored.batch} shows" in c for c in stored.cautions)


def test_an_older_list_read_again_says_which_batch_renewed_it(read):
    first, second = read(FILLER + kit("72.38")), read(FILLER + kit("73.00"))
    again = read(FILLER + kit("72.38"))
    (said,) = again.cautions
    assert (again.is_repeat, again.batch, again.changes) == (True, first.batch, {"same": 0})
    day = stamp().at[:10]
    assert said.startswith(
        f"batch {first.batch} of {day} has since been renewed by batch {second.batch} of {day} (list.csv)"
    )
    assert "its prices no longer count" in said
    assert read(FILLER + kit("73.00")).cautions == ()  # the newest counts


def test_a_list_renewed_by_one_that_was_taken_back_is_told_by_the_next(read):
    first, second = read(FILLER + kit("72.38")), read(FILLER + kit("73.00"))
    third = read(FILLER + kit("74.00"))
    withdraw(second.batch, "wrong quarter", stamp())
    (said,) = read(FILLER + kit("72.38")).cautions
    assert f"renewed by batch {third.batch} of" in said
    withdraw(third.batch, "wrong quarter", stamp())
    again = read(FILLER + kit("72.38"))
    assert (again.batch, again.cautions, again.changes["same"] > 0) == (first.batch, (), True)


MAKERS_OWN = HEAD.replace("Part no.", "Manufacturer part no.")


@pytest.mark.parametrize("head", [HEAD, MAKERS_OWN], ids=["code", "maker's number"])
def test_what_waits_still_waits_when_the_next_list_says_the_same(read, head):
    part = part_id(read(kit() + FILLER, head=head).batch)
    for extra in ("", "X-90;;Garden shears;;;9.50;1;EA;1\n", "X-91;;Garden fork;;;9.50;1;EA;1\n"):
        batch = read(kit("7238") + FILLER + extra, head=head).batch
        assert [why[:10] for why in offers.held_offers(batch).values()] == ["price ×100"]
        assert kinds(batch)["price ×100"]
        assert live(part) == []


def test_a_price_put_right_is_held_against_the_last_one_that_was_let_through(read):
    part = part_id(read(kit() + FILLER).batch)
    read(kit("7238") + FILLER)
    batch = read(kit("75.00") + FILLER).batch
    assert not offers.held_offers(batch)
    assert kinds(batch) == {"price": False}
    assert live(part) == [750_000]


def test_what_a_person_let_through_is_what_the_next_list_is_held_against(read):
    read(kit() + FILLER)
    accept_changes(read(kit("7238") + FILLER).batch, (), stamp())
    batch = read(kit("7238") + FILLER + "X-90;;Garden shears;;;9.50;1;EA;1\n").batch
    assert not offers.held_offers(batch)


def test_a_raised_rating_said_twice_is_no_claim(read):
    def figures() -> list[str]:
        found = claims.claims_of([part])
        return [c.claim.value for c in found if c.price_list_id and c.claim.kind == "rating"]

    part = part_id(read(kit() + FILLER).batch)
    told = figures()
    raised = kit().replace("2800 psi", "3600 psi")
    read(raised + FILLER)
    batch = read(raised + FILLER + "X-90;;Garden shears;;;9.50;1;EA;1\n").batch
    (why,) = offers.held_offers(batch).values()
    assert "raised without a document" in why
    assert figures() == told


def test_a_list_known_by_the_makers_numbers_renews_the_one_before_it(read):
    part = part_id(read(kit() + FILLER, head=MAKERS_OWN).batch)
    batch = read(kit("75.00") + FILLER, head=MAKERS_OWN).batch
    assert live(part) == [750_000]
    gone = read(FILLER, head=MAKERS_OWN).batch
    assert [(c.kind, c.code) for c in changes_of(gone).changes] == [("gone", "24-1201")]
    assert live(part) == [] and batch < gone


def test_what_comes_back_under_its_makers_number_is_held_against_its_last_price(read):
    read(kit() + FILLER, head=MAKERS_OWN)
    read(FILLER, head=MAKERS_OWN)
    batch = read(kit("7238") + FILLER, head=MAKERS_OWN).batch
    assert [why[:10] for why in offers.held_offers(batch).values()] == ["price ×100"]
    assert {c.code for c in changes_of(batch).changes} == {"24-1201"}


def test_what_waits_waits_on_though_the_list_that_it_was_held_against_was_withdrawn(read):
    first = read(kit() + FILLER)
    part = part_id(first.batch)
    read(kit("7238") + FILLER)
    withdraw(first.batch, "wrong list", stamp())
    batch = read(kit("7238") + FILLER + "X-90;;Garden shears;;;9.50;1;EA;1\n").batch
    assert [why[:10] for why in offers.held_offers(batch).values()] == ["price ×100"]
    assert live(part) == []
    assert accept_changes(batch, ["24-1201"], stamp()) == 1
    assert live(part) == [72_380_000]
