"""The decision table of handbook 2.2, row by row, and the ports of a part in a machine."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb import tables
from partsdb.rules.thread_forms import all_threads, with_gender
from partsdb.rules.threads import check_adapter, check_ports, pair, parse
from partsdb.rules.verdict import GRAVITY, Outcome

MEETS, CONDITIONS, NOT_SHOWN, FAILS = Outcome

# handbook 2.2, the number of the row beside each pair; outcome "OK" is `meets`, CONDITIONAL
# `meets with conditions`, REFUSE and DANGER `fails`, UNKNOWN `not shown`.
TABLE = [
    (1, "1/4 NPT male", "1/4 NPT female", MEETS, "NEEDS_SEALANT"),
    (2, "1/4 NPTF male", "1/4 NPTF female", MEETS, ""),
    (3, "1/4 NPT male 30° chamfer", "1/4 NPSM swivel", CONDITIONS, ""),
    (3, "1/4 NPT male", "1/4 NPSM swivel", CONDITIONS, ""),
    (4, "1/4 NPT male without chamfer", "1/4 NPSM swivel", FAILS, "THREAD_DANGER"),
    (5, "1/2 NPT male", "G 1/2 female", FAILS, "THREAD_DANGER"),
    (5, "3/4 NPT male", "Rc 3/4", FAILS, "THREAD_DANGER"),
    (5, "1/2 NPT male", "1/2 BSP female", FAILS, "THREAD_DANGER"),
    (5, "G 1/2 male", "1/2 NPT female", FAILS, "THREAD_DANGER"),
    (6, "1/8 NPT male", "G 1/8 female", FAILS, "THREAD_NO_SEAL"),
    (6, "1/4 NPT male", "Rc 1/4", FAILS, "THREAD_NO_SEAL"),
    (6, "3/8 NPT male", "G 3/8 female", FAILS, "THREAD_NO_SEAL"),
    (6, "1 NPT male", "Rc 1", FAILS, "THREAD_NO_SEAL"),
    (6, "R 1/4", "1/4 NPT female", FAILS, "THREAD_NO_SEAL"),
    (7, "R 1/4", "Rc 1/4", MEETS, "NEEDS_SEALANT"),
    (7, "1/4 BSPT male", "1/4 BSPT female", MEETS, "NEEDS_SEALANT"),
    (8, "R 3/8", "Rp 3/8", CONDITIONS, "NEEDS_SEALANT"),
    (9, "R 1/2", "G 1/2 female", FAILS, "THREAD_NO_SEAL"),
    (10, "G 1/4 male flat", "G 1/4 female flat", MEETS, "NEEDS_SEAL"),
    (10, "G 1/4 A", "G 1/4 female", CONDITIONS, "NEEDS_SEAL"),
    (11, "G 1/4 male 60° cone", "G 1/4 female 60° cone", MEETS, ""),
    (11, "G 1/4 male 60° cone", "G 1/4 female 30° cone", FAILS, "THREAD_NO_SEAL"),
    (11, "G 1/4 male 60° cone", "G 1/4 female swivel", CONDITIONS, ""),
    (12, "G 1/4 male", "Rc 1/4", FAILS, "THREAD_NO_SEAL"),
    (13, "JIC -6 male", "JIC -6 female", MEETS, ""),
    (14, "7/16-20 JIC male", "7/16-20 SAE 45° female", FAILS, "THREAD_DANGER"),
    (14, "1/2-20 JIC male", "1/2-20 SAE 45° female", FAILS, "THREAD_DANGER"),
    (14, "3/4-16 JIC male", "3/4-16 SAE 45° female", FAILS, "THREAD_DANGER"),
    (14, "7/8-14 SAE 45° male", "7/8-14 JIC female", FAILS, "THREAD_DANGER"),
    (15, "JIC -6 male", "9/16-18 ORB port", FAILS, "THREAD_DANGER"),
    (16, "9/16-18 ORB male", "JIC -6 swivel", FAILS, "THREAD_DANGER"),
    (17, "9/16-18 ORB male", "9/16-18 ORB female", MEETS, "NEEDS_SEAL"),
    (17, "ISO 6149 M14x1.5 male", "ISO 6149 M14x1.5 female", MEETS, "NEEDS_SEAL"),
    (18, "ISO 6149 M14x1.5 male", "M14x1.5 female flat", FAILS, "THREAD_NO_SEAL"),
    (18, "ISO 6149 M14x1.5 male", "M14x1.5 female", FAILS, "THREAD_NO_SEAL"),
    (19, "M12x1.5 male", "JIC -5 female", FAILS, "THREAD_DANGER"),
    (19, "M14x1.5 male", "JIC -6 female", FAILS, "THREAD_DANGER"),
    (19, "M18x1.5 male", "3/4-16 ORB female", FAILS, "THREAD_DANGER"),
    (19, "7/8-14 UNF male", "M22x1.5 female", FAILS, "THREAD_DANGER"),
    (19, "M27x2 male", "1 1/16-12 UN female", FAILS, "THREAD_DANGER"),
    (19, "1 5/16-12 UN male", "M33x2 female", FAILS, "THREAD_DANGER"),
    (20, "G 1/2 male", "7/8-14 UNF female", FAILS, "THREAD_DANGER"),
    (21, "M22x1.5 male 14 mm", "M22x1.5 female 15 mm", FAILS, "THREAD_NO_SEAL"),
    (21, "M22x1.5 male 14 mm", "M22x1.5 female 14 mm", MEETS, "NEEDS_SEAL"),
    (21, "M22x1.5 male", "M22x1.5 female", CONDITIONS, "NEEDS_SEAL"),
    (22, "quick coupling ISO 7241-A male", "quick coupling ISO 7241-B female", NOT_SHOWN, ""),
    (22, "quick coupling ISO 7241-A male", "quick coupling ISO 7241-A female", CONDITIONS, ""),
    (0, "3/8 NPT male", "1/4 NPT female", FAILS, "NEEDS_ADAPTER"),
    (0, "1/4 NPT male", "M22x1.5 female", FAILS, "NEEDS_ADAPTER"),
    # Seats that are not stated, and pairs that the table does not hold: nothing is shown.
    (0, "JIC -6 male", "9/16-18 UNF female", NOT_SHOWN, ""),
    (0, "M14x1.5 male", "ISO 6149 M14x1.5 female", NOT_SHOWN, ""),
    (0, "G 1/4 male flat", "G 1/4 female 60° cone", NOT_SHOWN, ""),
    (0, "G 1/4 male", "Rp 1/4", NOT_SHOWN, ""),
    (0, "1/4 BSP male", "G 1/4 female", NOT_SHOWN, ""),
    (0, "1/4 NPSM male", "1/4 NPT female", NOT_SHOWN, ""),
]


@pytest.mark.parametrize(("row", "male", "female", "outcome", "code"), TABLE)
def test_a_pair_is_decided_as_the_handbook_has_it(row, male, female, outcome, code):
    found = pair(parse(male), parse(female))
    assert (found.outcome, found.code) == (outcome, code), f"row {row}: {found.text}"
    assert (found.conditions != ()) == (outcome is CONDITIONS)


@pytest.mark.parametrize(("row", "male", "female", "outcome", "code"), TABLE)
def test_the_ports_of_machine_and_part_may_be_either_way_round(row, male, female, outcome, code):
    for machine, part in ((male, female), (female, male)):
        found = check_ports((machine,), (part,))
        assert (found.outcome, found.code) == (outcome, code), found.text


def test_every_row_of_the_handbook_is_in_the_table_with_its_source():
    rows = tables.rows("thread_pairs")
    numbers = {int(row["row"].rstrip("abcd")) for row in rows}
    assert numbers >= set(range(1, 23))  # row 23, the adapter, is `check_adapter`
    assert all(row["source"] and row["finding"] for row in rows)
    assert all((row["condition"] != "") == (row["outcome"] == CONDITIONS) for row in rows)


@pytest.mark.parametrize("size", ["1/8", "1/4", "3/8", "1/2", "3/4", "1"])
@pytest.mark.parametrize("npt", ["NPT", "NPTF", "NPSM"])
@pytest.mark.parametrize("bsp", ["G", "Rc", "Rp", "BSP"])
def test_sixty_degrees_never_seal_in_fifty_five(size, npt, bsp):
    threads = parse(f"{size} {npt} male"), parse(f"{bsp} {size}" + ("" if "R" in bsp else " IG"))
    found = pair(*threads)
    assert found.outcome is FAILS
    assert found.code == ("THREAD_DANGER" if size in ("1/2", "3/4") else "THREAD_NO_SEAL")


def test_a_danger_says_what_tells_the_two_apart():
    text = pair(parse("M27x2 male"), parse("1 1/16-12 UN female")).text
    for figure in ("27.000 mm", "pitch 2 mm", "26.988 mm", "12 threads per inch", "60° flanks"):
        assert figure in text
    text = pair(parse("1/2 NPT male"), parse("G 1/2 female")).text
    for figure in ("21.336 mm", "20.955 mm", "60° flanks", "55° flanks", "taper 1/16"):
        assert figure in text


def test_ends_of_one_thread_are_told_apart_by_their_seats():
    text = pair(parse("JIC -6 male"), parse("9/16-18 ORB port")).text
    assert "the threads are the same: look at the seats" in text and "14.29" not in text


def test_threads_of_two_standards_never_simply_meet():
    # Law: what seals without a condition has one flank angle and one pitch on both sides.
    threads = all_threads()
    for male in threads:
        for female in threads:
            found = pair(with_gender(male, "male"), with_gender(female, "female"))
            if found.outcome is MEETS:
                assert (male.flank_deg, male.pitch_mm) == (female.flank_deg, female.pitch_mm)
                assert male.diameter_mm == female.diameter_mm


@pytest.mark.parametrize(
    ("machine", "part", "outcome", "code"),
    [
        (("1/4-18 NPT female",), ("1/4 NPT male",), MEETS, "NEEDS_SEALANT"),
        (("1/4-18 NPT female",), (), NOT_SHOWN, ""),
        (("1/4-18 NPT female",), ("thread as original",), NOT_SHOWN, ""),
        (("as drawing",), ("1/4 NPT male",), NOT_SHOWN, ""),
        ((), ("1/4 NPT male",), NOT_SHOWN, ""),
        (("1/4 NPT female",), ("1/4 NPT female",), FAILS, "NEEDS_ADAPTER"),
        (("1/4 NPT female",), ("G 1/4 A", "1/4 NPT male"), MEETS, "NEEDS_SEALANT"),
        (("1/4 NPT female",), ("1/4 NPT M x 3/8 NPT F",), MEETS, "NEEDS_SEALANT"),
        (("1/4 NPT female", "1/4 NPT female"), ("1/4 NPT male",), NOT_SHOWN, ""),
        (
            ("1/4 NPT female", "1/4 NPT female"),
            ("1/4 NPT male", "G 1/4 A"),
            FAILS,
            "THREAD_NO_SEAL",
        ),
        (("1/4 NPT female", "G 1/4 female"), ("G 1/4 A", "1/4 NPT male"), CONDITIONS, "NEEDS_SEAL"),
        (("1/4 NPT female",), ("G 1/4 A", "like the old one"), NOT_SHOWN, ""),
    ],
)
def test_each_port_of_the_machine_wants_a_port_of_the_part(machine, part, outcome, code):
    found = check_ports(machine, part)
    assert found.outcome is outcome, found.text
    assert not code or found.code == code


@pytest.mark.parametrize(
    ("machine", "part", "outcome"),
    [
        ("1/4 NPT female", "1/4 NPT", CONDITIONS),
        ("1/4 NPT", "1/4 NPT", CONDITIONS),
        ("1/4 BSPT", "1/4 BSPT", CONDITIONS),
        ("R 1/4", "1/4 BSPT", CONDITIONS),
        ("1/4 NPSM swivel", "1/4 NPT", NOT_SHOWN),  # another form: the gender decides
        ("1/4 NPT female", "G 1/4", FAILS),  # fails whichever side is male
        ("G 1/2", "1/2 NPT", FAILS),
    ],
)
def test_a_gender_that_is_not_stated_has_to_be_confirmed(machine, part, outcome):
    found = check_ports((machine,), (part,))
    assert found.outcome is outcome, found.text
    if outcome is CONDITIONS:
        assert "confirm which side is male and which female" in found.conditions


def test_more_ports_than_can_be_paired_are_left_to_a_person():
    many = ("1/4 NPT female",) * 13
    assert check_ports(many, ("1/4 NPT male",) * 13).outcome is NOT_SHOWN
    assert check_ports(("1/4 NPT male",), many).outcome is NOT_SHOWN
    assert check_ports(("1/4 NPT male",), many[1:]).outcome is MEETS


@pytest.mark.parametrize(
    ("adapter", "outcome"),
    [
        (("1/4 NPT male", "G 1/4 female flat"), CONDITIONS),
        (("G 1/4 female flat", "1/4 NPT male"), CONDITIONS),  # either end first
        (("1/4 NPT male", "G 3/8 female flat"), FAILS),
        (("1/4 NPT male", "something"), NOT_SHOWN),
    ],
)
def test_an_adapter_is_judged_by_its_weaker_joint_and_joins_the_chain(adapter, outcome):
    # handbook 2.2 row 23
    found = check_adapter("1/4 NPT female", adapter, "G 1/4 male flat")
    assert found.outcome is outcome, found.text
    assert "the adapter's own pressure rating joins the chain" in found.conditions


PORTS = st.lists(st.sampled_from([male for _, male, *_ in TABLE] + ["?"]), max_size=3)


@given(PORTS, PORTS, st.randoms())
def test_the_order_of_ports_changes_nothing(machine, part, random):
    found = check_ports(tuple(machine), tuple(part))
    random.shuffle(part)
    random.shuffle(machine)
    assert check_ports(tuple(machine), tuple(part)).outcome is found.outcome


@given(PORTS, PORTS, st.sampled_from([female for _, _, female, *_ in TABLE]))
def test_another_port_of_the_part_never_makes_it_worse(machine, part, more):
    before = check_ports(tuple(machine), tuple(part)).outcome
    after = check_ports(tuple(machine), (*part, more)).outcome
    if len(part) >= len(machine):
        assert GRAVITY[after] <= GRAVITY[before]
