"""What headings and texts say of tax in prices.

The wordings are common practice, no source.
"""

from __future__ import annotations

import pytest

from importers.tax_words import EXCLUDED, INCLUDED, SPOKEN, TaxSaid, is_gross, says_net, tax_said


@pytest.mark.parametrize(
    ("text", "kind", "rate"),
    [
        ("Prices incl. VAT 20 %", INCLUDED, "20"), ("Preise inkl. 19 % MwSt.", INCLUDED, "19"),
        ("Alle Preise inkl. der gesetzlichen MwSt. von 19%", INCLUDED, "19"),
        ("Price EUR inc VAT", INCLUDED, ""), ("VAT included", INCLUDED, ""),
        ("MwSt. ist enthalten", INCLUDED, ""), ("Price (VAT incl.)", INCLUDED, ""),
        ("Preise zzgl. Versand inkl. MwSt", INCLUDED, ""), ("Preise m. MwSt.", INCLUDED, ""),
        ("ex works, VAT included", INCLUDED, ""), ("Preis brutto (19% MwSt)", INCLUDED, "19"),
        ("Prices are in EUR and include 21% BTW", INCLUDED, "21"),
        ("3 % Skonto, inkl. 19 % MwSt.", INCLUDED, ""),  # two percentages: none is taken
        ("Preise ohne Skonto, inkl. 8,1 % MWST", INCLUDED, "8.1"),
        ("prices not firm, incl. VAT", INCLUDED, ""), ("VAT included, no discount", INCLUDED, ""),
        ("Prix TVA comprise", INCLUDED, ""), ("gross of VAT", INCLUDED, ""),
        ("Price w/ VAT", INCLUDED, ""), ("No VAT is included", INCLUDED, ""),  # both: it is asked
        ("Preise zzgl. MwSt.", EXCLUDED, ""), ("plus 19 % USt", EXCLUDED, "19"),
        ("Preise inkl. Verpackung, zzgl. MwSt.", EXCLUDED, ""), ("Price ex VAT", EXCLUDED, ""),
        ("MwSt. nicht enthalten", EXCLUDED, ""), ("VAT is not included", EXCLUDED, ""),
        ("Prices do not include VAT", EXCLUDED, ""), ("Price + VAT", EXCLUDED, ""),
        ("Preise netto zzgl. der jeweils gültigen gesetzlichen Mehrwertsteuer", EXCLUDED, ""),
        ("Price net of VAT", EXCLUDED, ""), ("Preis (o.MwSt)", EXCLUDED, ""),
        ("Preise enthalten keine MwSt.", EXCLUDED, ""), ("VAT extra", EXCLUDED, ""),
        ("Prices before tax", EXCLUDED, ""), ("Price w/o VAT", EXCLUDED, ""),
        ("VAT will be added at 20 %", EXCLUDED, "20"),
        ("VAT", SPOKEN, ""), ("MwSt. %", SPOKEN, ""), ("price increase; VAT 20%", SPOKEN, "20"),
        ("USt-IdNr. DE123456789", "", ""), ("VAT No. GB 123", "", ""), ("Ust-Nr. 12/3", "", ""),
        ("Versand 5,90 EUR inkl. MwSt", "", ""), ("Freight 5.90 incl. VAT", "", ""),
        ("Syntax of the taxi", "", ""), ("Prices 2026", "", ""), ("", "", ""),
    ],
)  # fmt: skip
def test_the_words_around_the_tax_tell_whether_it_is_in_the_prices(text, kind, rate):
    assert tax_said(text) == TaxSaid(kind, rate)


@pytest.mark.parametrize(
    ("text", "is_net"),
    [("Preise netto in EUR", True), ("Net prices", True), ("All prices in EUR net", True),
     ("Net weight in kg", False), ("Prices 2026", False)],
)  # fmt: skip
def test_a_text_may_call_its_prices_net(text, is_net):
    assert says_net(text) is is_net


@pytest.mark.parametrize(
    ("heading", "gross"),
    [("Preis brutto", True), ("Bruttopreis", True), ("Gross price", True), ("Price", False)],
)
def test_a_heading_may_call_its_prices_gross(heading, gross):
    assert is_gross(heading) is gross
