"""Designations as the trade writes them; what is not understood is nothing, never a guess."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from thread_writings import READ

from partsdb.rules.threads import find_threads, parse


@pytest.mark.parametrize(("text", "form", "size", "gender", "seat"), READ)
def test_a_designation_of_the_trade_is_read(text, form, size, gender, seat):
    thread = parse(text)
    assert thread is not None
    assert (thread.form, thread.size, thread.gender, thread.seat) == (form, size, gender, seat)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "hose 1/4",
        "1/4",
        "1/4-18",  # NPT, NPTF or NPSM: not said
        "1/2-14",  # NPT or BSP: not said
        "1/4-19 NPT",  # 19 threads per inch are BSP's
        "G 1/4-18",  # 18 are NPT's
        "2 1/4 NPT",  # two pieces, or two and a quarter inches
        "11/4 NPT",
        "0.25 NPT",
        "5/8 NPT",  # no such size
        "1/4 NPS",
        "NPSF 1/4",
        "3/8 NPTR",
        "M22",  # no pitch
        "M8x30",  # a length
        "M22x1.6",
        "R 1/4 IG",  # R is always outside (ISO 7-1)
        "Rc 1/4 male",
        "Rp 1/4 AG",
        "G 1/4 A female",  # class A is for outside threads (ISO 228-1)
        "1/4 NPT male female",
        "3/4-16 UNC",  # 3/4-16 is UNF
        "1 1/16-12 UNF",
        "250 g 1 piece",
        "SAE -6",  # 37°, 45° or O-ring: not said
        "JIC ORB 9/16-18",
        "JIC -7",
        "1/4 NPT male or G 1/4 male",
        "1/4-19 NPT or 3/8 NPT",
        "quick coupling 1/4",
        "1/0 NPT",
    ],
)
def test_what_is_not_understood_is_no_thread(text):
    assert parse(text) is None


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ('Nipple 1/4" NPT M x 3/8" NPT F', [("NPT", "1/4", "male"), ("NPT", "3/8", "female")]),
        ("male 1/4 NPT x female G 1/4", [("NPT", "1/4", "male"), ("G", "1/4", "female")]),
        ("hose 15 m, M22x1.5 IG / G 3/8 AG", [("M", "M22x1.5", "female"), ("G", "3/8", "male")]),
        ("ball 7/16-20 pieces", []),  # two numbers in a description are no thread
        ("gun swivel 7/16-20 JIC", [("JIC", "7/16-20", "female")]),
    ],
)
def test_a_description_gives_all_its_threads_in_order(text, expected):
    found = [(thread.form, thread.size, thread.gender) for thread in find_threads(text)]
    assert found == expected


@pytest.mark.parametrize("text", [row[0] for row in READ])
def test_a_thread_reads_back_from_its_own_designation(text):
    thread = parse(text)
    assert parse(thread.designation) == thread


@pytest.mark.parametrize(
    ("text", "designation"),
    [
        ("M22 x 1,5 IG", "M22x1.5 female"),
        ("3/4-16 UNF-2A", "3/4-16 UN male"),
        ("JIC -6 male", "9/16-18 JIC male"),
        ("M14x1.5 ISO 6149", "ISO 6149 M14x1.5"),
        ("G 1/4 A flat", "G 1/4 flat male"),
        ("1/4 BSPT", "1/4 BSPT"),
        ("1/4 MNPT", "1/4 NPT male"),
    ],
)
def test_a_thread_is_named_as_the_trade_writes_it(text, designation):
    assert parse(text).designation == designation


@given(st.text(alphabet='0123456789/-. GRMNPTxXcp"¼½°()JICOUF', max_size=24))
def test_no_text_makes_the_reader_fall_over(text):
    thread = parse(text)
    assert thread is None or thread.form
