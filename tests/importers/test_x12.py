"""ANSI X12 832: separators of the ISA, counts of the envelopes, and what the segments mean."""

from __future__ import annotations

import pytest

from importers import ReaderError, read_price_list

ISA = "ISA*00*          *00*          *ZZ*SALTREEVE      *ZZ*FENNELQUAY     *261001*0900*U*00401*000000001*0*P*>~"
BODY = (
    "BCT*PS*L77~CUR*SE*USD~DTM*007*20261001~LIN*1*VP*NF-2412*MG*24-1201*UP*012345678905*F8*PV-88~"
    "PID*F****Valve kit~CTP*WS*NET*72.5*1*EA~PO4*10*1*EA~CTT*1~"
)


def catalogue(body: str = BODY) -> str:
    count = body.count("~") + 2
    return (
        f"{ISA}GS*SC*SALTREEVE*FENNELQUAY*20261001*0900*1*X*004010~ST*832*0001~{body}"
        f"SE*{count}*0001~GE*1*1~IEA*1*000000001~"
    )


def refusal(path) -> str:
    with pytest.raises(ReaderError) as caught:
        read_price_list(path)
    assert caught.value.place and caught.value.hint
    return str(caught.value)


def test_an_article_becomes_a_row_with_its_segment_as_place(csv_file):
    text = read_price_list(csv_file(catalogue(), name="list.832"))
    (row,) = text.rows
    assert (text.reader, row.place()) == ("ANSI X12", "segment 7")
    assert row.fields == {
        "code": "NF-2412", "maker_number": "24-1201", "ean": "012345678905", "replaces": "PV-88",
        "description": "Valve kit", "price": "72.5", "currency": "USD", "unit": "EA", "pack": "10",
        "valid_from": "2026-10-01",
    }  # fmt: skip
    assert row.amounts == {"price": "72.5"}


def test_other_separators_of_the_isa_are_heeded(csv_file):
    other = catalogue().translate(str.maketrans("*~>", "|\n^"))
    assert read_price_list(csv_file(other)).rows[0].amounts == {"price": "72.5"}


def test_line_ends_after_the_segment_sign_are_no_text(csv_file):
    assert len(read_price_list(csv_file(catalogue().replace("~", "~\r\n"))).rows) == 1


@pytest.mark.parametrize(
    ("right", "wrong", "said"),
    [
        ("SE*10*0001", "SE*11*0001", 'segment 12: SE says "11", counted are 10'),
        ("SE*10*0001", "SE*10*0002", 'SE closes "0002", what is open is "0001"'),
        ("GE*1*1", "GE*2*1", 'segment 13: GE says "2", counted are 1'),
        ("IEA*1*", "IEA*3*", 'segment 14: IEA says "3", counted are 1'),
        ("CTT*1", "CTT*4", 'segment 11: CTT says "4" line items, the set has 1'),
        ("IEA*1*000000001~", "", "the file ends before ISA of segment 1 is closed"),
        ("GE*1*1~", "", "IEA closes no ISA"),
        ("ST*832*0001~", "", "segment 3: BCT stands outside of a set"),
        ("*P*>~", "*P>~", "ISA has not its fixed 106 characters"),
    ],
)
def test_a_document_that_counts_wrongly_is_refused_with_its_segment(csv_file, right, wrong, said):
    assert right in catalogue()
    assert said in refusal(csv_file(catalogue().replace(right, wrong)))


@pytest.mark.parametrize(
    ("prices", "amounts", "per"),
    [
        ("CTP**LPR*9~CTP**NET*8~", {"price": "8", "list_price": "9"}, None),
        ("CTP**NET*340**HU~", {"price": "340"}, "100"),
        ("CTP**NET*8*1*EA~CTP**NET*7*10*EA~", {"price": "8", "price_from_10": "7"}, None),
        ("CTP**ZZZ*8~", {"price": ""}, None),
    ],
)
def test_prices_keep_their_basis_kind_and_quantity(csv_file, prices, amounts, per):
    (row,) = read_price_list(csv_file(catalogue(f"CUR*SE*USD~LIN**VP*A1~{prices}"))).rows
    assert row.amounts == amounts
    assert row.fields.get("price_per") == per


def test_a_price_only_from_a_quantity_is_said_and_kept_as_the_minimum(csv_file):
    (row,) = read_price_list(csv_file(catalogue("LIN**VP*A1~CTP**NET*7*10*EA~"))).rows
    assert (row.amounts, row.fields["min_qty"]) == ({"price": "7"}, "10")
    assert "only from 10 units" in row.notes[0]


def test_a_pack_within_a_pack_is_asked_about_and_not_guessed(csv_file):
    (row,) = read_price_list(csv_file(catalogue("LIN**VP*A1~CTP**NET*7~PO4*4*12*OZ~"))).rows
    assert "pack" not in row.fields and "ask what it holds" in row.notes[0]


def test_a_set_that_is_no_catalogue_is_refused(csv_file):
    assert "no price catalogue" in refusal(csv_file(catalogue().replace("ST*832", "ST*850")))
