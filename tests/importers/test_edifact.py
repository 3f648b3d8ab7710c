"""PRICAT and QUOTES: separators, release characters, counts, and what the segments mean.

Segment and code meanings are UN/EDIFACT D.96A, from memory; the counts are ISO 9735's.
"""

from __future__ import annotations

import pytest

from importers import Limits, ReaderError, read_price_list

UNA = "UNA:+.? '"
ITEM = (
    "LIN+1++4006381333931:EN'PIA+5+KV-2412:SA'PIA+5+24-1201:MF'PIA+4+PV-88'IMD+F++:::Valve kit?+seal'"
    "QTY+53:5'PRI+AAA:72.5:::1:EA'"
)


def message(body: str, ref: str = "1", kind: str = "PRICAT") -> str:
    head = f"UNH+{ref}+{kind}:D:96A:UN'BGM+9+L77+9'DTM+157:20261001:102'CUX+2:EUR:8'"
    count = (head + body).replace("?'", "").count("'") + 1
    return f"{head}{body}UNT+{count}+{ref}'"


def interchange(*messages: str, ref: str = "R1") -> str:
    return f"UNB+UNOC:3+S+B+261001:0900+{ref}'{''.join(messages)}UNZ+{len(messages)}+{ref}'"


def refusal(path) -> str:
    with pytest.raises(ReaderError) as caught:
        read_price_list(path)
    assert caught.value.place and caught.value.hint
    return str(caught.value)


def test_a_line_item_becomes_a_row_with_its_segment_as_place(csv_file):
    text = read_price_list(csv_file(UNA + interchange(message(ITEM)), name="list.edi"))
    (row,) = text.rows
    assert text.reader == "EDIFACT"
    assert row.place() == row.place("price", text.profiles[0]) == "segment 6"
    assert row.fields == {
        "code": "KV-2412", "maker_number": "24-1201", "replaces": "PV-88", "ean": "4006381333931",
        "description": "Valve kit+seal", "price": "72.5", "currency": "EUR", "unit": "EA",
        "min_qty": "5", "valid_from": "2026-10-01",
    }  # fmt: skip
    assert row.amounts == {"price": "72.5"}
    assert text.profiles[0].currency == "EUR"


def test_a_released_sign_is_text_and_so_is_a_released_release(csv_file):
    body = "LIN+1++:'PIA+5+A?:1?+2:SA'IMD+F++:::what?? it?'s'PRI+AAA:1'"
    (row,) = read_price_list(csv_file(interchange(message(body)))).rows
    assert (row.fields["code"], row.fields["description"]) == ("A:1+2", "what? it's")


def test_other_separators_of_the_una_are_heeded(csv_file):
    text = interchange(message(ITEM.replace("?+", " ")))
    other = text.translate(str.maketrans(":+'.", "|^~,"))
    (row,) = read_price_list(csv_file("UNA|^,? ~" + other)).rows
    assert row.amounts == {"price": "72.5"}


def test_a_una_that_comes_twice_and_interchanges_one_after_the_other_are_read(csv_file):
    first = interchange(message(ITEM))
    second = interchange(message(ITEM.replace("KV-2412", "KV-9")), ref="R2")
    text = read_price_list(csv_file(f"{UNA}\n{UNA}\n{first}\r\n{UNA}{second}\r\n"))
    assert [row.fields["code"] for row in text.rows] == ["KV-2412", "KV-9"]
    assert [row.row for row in text.rows] == [6, 20]


@pytest.mark.parametrize(
    ("wrong", "right", "said"),
    [
        ("UNT+99+1", "UNT+12+1", "segment 13: UNT says \"99\" segments, its message has 12"),
        ("UNT+12+2", "UNT+12+1", 'UNT closes "2", what is open is "1"'),
        ("UNZ+2+R1", "UNZ+1+R1", 'segment 14: UNZ says "2"'),
        ("UNZ+1+R9", "UNZ+1+R1", 'UNZ closes "R9"'),
        ("", "UNZ+1+R1'", "the file ends without the UNZ"),
        ("", "UNT+12+1'", "UNZ closes no interchange"),
        ("CNT+2:7'UNT+13+1", "UNT+12+1", 'segment 13: CNT says "7" line items, its message has 1'),
    ],
)  # fmt: skip
def test_a_document_that_counts_wrongly_is_refused_with_its_segment(csv_file, wrong, right, said):
    text = interchange(message(ITEM))
    assert right in text
    assert said in refusal(csv_file(text.replace(right, wrong)))


def test_a_segment_that_is_not_closed_is_refused(csv_file):
    assert "not closed" in refusal(csv_file(interchange(message(ITEM))[:-1]))


def test_a_right_count_of_line_items_is_accepted(csv_file):
    assert len(read_price_list(csv_file(interchange(message(ITEM + "CNT+2:1'")))).rows) == 1


@pytest.mark.parametrize(
    ("price", "amounts", "per"),
    [
        ("PRI+AAA:340:::100:EA'", {"price": "340"}, "100"),
        ("PRI+AAA:3.4:::1:CEN'", {"price": "3.4"}, "100"),
        ("PRI+AAA:3,4'", {"price": "3.4"}, None),
        ("PRI+AAB:9'PRI+AAA:8'", {"price": "8", "list_price": "9"}, None),
        ("PRI+AAA:8'PRI+AAA:7'RNG+4+EA:10:99'", {"price": "8", "price_from_10": "7"}, None),
    ],
)
def test_prices_keep_their_basis_kind_and_quantity(csv_file, price, amounts, per):
    body = f"LIN+1++:'PIA+5+A1:SA'{price}"
    (row,) = read_price_list(csv_file(interchange(message(body)))).rows
    assert row.amounts == amounts
    assert row.fields.get("price_per") == per


def test_two_net_prices_without_a_range_refuse_the_article(csv_file):
    body = "LIN+1++:'PIA+5+A1:SA'PRI+AAA:8'PRI+AAA:7'"
    (row,) = read_price_list(csv_file(interchange(message(body)))).rows
    assert row.kind == "refused" and 'two of price: "8" and "7"' in row.notes[0]


def test_an_information_price_is_never_taken_as_net(csv_file):
    body = "LIN+1++:'PIA+5+A1:SA'PRI+AAE:8'"
    text = read_price_list(csv_file(interchange(message(body))))
    assert text.rows[0].amounts == {"list_price": "8"}
    assert any("AAE" in said for said in text.assumptions)


def test_an_article_that_the_document_deletes_is_refused(csv_file):
    body = "LIN+1+2+:'PIA+5+A1:SA'PRI+AAA:8'"
    (row,) = read_price_list(csv_file(interchange(message(body)))).rows
    assert row.kind == "refused" and "deletes" in row.notes[0]


def test_the_currency_of_one_article_is_not_that_of_the_next(csv_file):
    body = "LIN+1++:'PIA+5+A1:SA'CUX+2:GBP'PRI+AAA:8'LIN+2++:'PIA+5+A2:SA'PRI+AAA:9'"
    text = read_price_list(csv_file(interchange(message(body))))
    assert [row.fields["currency"] for row in text.rows] == ["GBP", "EUR"]
    assert text.profiles[0].currency == ""


def test_messages_of_another_kind_are_named_and_left_out(csv_file):
    both = interchange(message(ITEM), message("LIN+1++:'", "2", "ORDERS"))
    text = read_price_list(csv_file(both))
    assert len(text.rows) == 1
    assert text.skipped == ("1 ORDERS messages are no price list and are not read",)
    assert "ORDERS" in refusal(csv_file(interchange(message("LIN+1++:'", kind="ORDERS"))))


def test_more_segments_than_the_limit_are_refused_with_the_way_to_raise_it(csv_file):
    with pytest.raises(ReaderError) as caught:
        read_price_list(csv_file(interchange(message(ITEM))), limits=Limits(segments=3))
    assert "PARTSDB_LIMITS=segments=4" in caught.value.hint
