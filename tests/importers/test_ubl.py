"""UBL 2.1 Catalogue: fields of a line, and XML that would do harm."""

from __future__ import annotations

import pytest

from importers import Limits, ReaderError, read_price_list

_NS = (
    'xmlns="urn:oasis:names:specification:ubl:schema:xsd:Catalogue-2" '
    'xmlns:cac="urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2" '
    'xmlns:cbc="urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2"'
)
PRICE = '<cac:Price><cbc:PriceAmount currencyID="EUR">{}</cbc:PriceAmount>{}</cac:Price>'


def line(prices: str = "", item: str = "", before: str = "") -> str:
    return (
        f"<cac:CatalogueLine><cbc:ID>1</cbc:ID>{before}"
        "<cac:LineValidityPeriod><cbc:StartDate>2026-10-01</cbc:StartDate></cac:LineValidityPeriod>"
        f"{prices}<cac:Item><cbc:Description>Valve kit</cbc:Description>"
        "<cac:SellersItemIdentification><cbc:ID>KV-2412</cbc:ID></cac:SellersItemIdentification>"
        "<cac:ManufacturersItemIdentification><cbc:ID>24-1201</cbc:ID></cac:ManufacturersItemIdentification>"
        '<cac:StandardItemIdentification><cbc:ID schemeID="GTIN">4006381333931</cbc:ID></cac:StandardItemIdentification>'
        f"{item}</cac:Item></cac:CatalogueLine>"
    )


def place(price: str, least: str = "") -> str:
    minimum = f"<cbc:MinimumQuantity>{least}</cbc:MinimumQuantity>" if least else ""
    return f"<cac:RequiredItemLocationQuantity>{minimum}{price}</cac:RequiredItemLocationQuantity>"


def catalogue(*lines: str) -> str:
    return f'<?xml version="1.0"?><Catalogue {_NS}><cbc:ID>L77</cbc:ID>{"".join(lines)}</Catalogue>'


def refusal(path, **limits) -> ReaderError:
    with pytest.raises(ReaderError) as caught:
        read_price_list(path, limits=Limits(**limits))
    assert caught.value.place and caught.value.hint
    return caught.value


def test_a_catalogue_line_becomes_a_row_counted_from_one(csv_file):
    base = '<cbc:BaseQuantity unitCode="EA">100</cbc:BaseQuantity>'
    text = read_price_list(csv_file(catalogue(line(), line(place(PRICE.format("340.50", base))))))
    row = text.rows[1]
    assert (text.reader, row.place()) == ("UBL catalogue", "catalogue line 2")
    assert row.fields == {
        "code": "KV-2412", "maker_number": "24-1201", "ean": "4006381333931", "unit": "EA",
        "description": "Valve kit", "price": "340.50", "currency": "EUR", "price_per": "100",
        "valid_from": "2026-10-01",
    }  # fmt: skip
    assert text.rows[0].notes == ("no price: the cell is empty",)


def test_the_price_for_the_least_quantity_is_the_price_and_the_others_are_breaks(csv_file):
    prices = place(PRICE.format("7", ""), "10") + place(PRICE.format("8", ""), "1")
    (row,) = read_price_list(csv_file(catalogue(line(prices)))).rows
    assert row.amounts == {"price": "8", "price_from_10": "7"}


def test_properties_of_the_item_give_rating_and_material(csv_file):
    each = "<cac:AdditionalItemProperty><cbc:Name>{}</cbc:Name><cbc:Value>{}</cbc:Value></cac:AdditionalItemProperty>"
    item = each.format("Working pressure", "250 bar") + each.format("Material", "303 stainless")
    (row,) = read_price_list(csv_file(catalogue(line(place(PRICE.format("8", "")), item)))).rows
    assert (row.fields["rating"], row.fields["material"]) == ("250 bar", "303 stainless")


def test_a_line_that_the_document_deletes_is_refused(csv_file):
    code = "<cbc:ActionCode>Delete</cbc:ActionCode>"
    text = catalogue(line(place(PRICE.format("8", "")), before=code))
    assert read_price_list(csv_file(text)).rows[0].kind == "refused"


def test_a_document_type_and_its_entities_are_refused(csv_file):
    bomb = '<!DOCTYPE x [<!ENTITY a "aaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>'
    text = catalogue(line()).replace("?>", f"?>{bomb}", 1)
    assert "document type declaration" in refusal(csv_file(text)).message


def test_deep_nesting_and_too_many_elements_are_refused_with_the_limit(csv_file):
    deep = catalogue("<a>" * 200 + "</a>" * 200)
    assert "PARTSDB_LIMITS=depth=" in refusal(csv_file(deep)).hint
    many = catalogue(*[line()] * 10)
    assert "PARTSDB_LIMITS=elements=" in refusal(csv_file(many), elements=50).hint


@pytest.mark.parametrize("cut", [60, -1, -12])
def test_broken_xml_is_refused_with_its_line(csv_file, cut):
    text = catalogue(line())
    text = text[:cut] if cut < 0 else text[:-cut]
    assert "the XML is broken" in refusal(csv_file(text)).message


def test_a_catalogue_without_lines_is_refused(csv_file):
    assert "no lines" in refusal(csv_file(catalogue())).message


def test_xml_of_another_kind_is_named_as_before(csv_file):
    assert "XML document" in refusal(csv_file("<?xml version='1.0'?><prices/>")).message
