"""Our currencies against the published list one of ISO 4217 (in the package iso4217)."""

import pytest

from partsdb.rules.currencies import currency_codes, currency_info, minor_digits

pytestmark = pytest.mark.external


@pytest.fixture(scope="module")
def published(external):
    return {entry.code: entry.exponent for entry in external("iso4217").Currency}


@pytest.mark.parametrize(
    "code", [code for code in currency_codes() if not currency_info(code).ended]
)
def test_a_currency_in_use_has_the_published_decimals(published, code):
    assert published[code] == minor_digits(code)


@pytest.mark.parametrize("code", [code for code in currency_codes() if currency_info(code).ended])
def test_an_ended_currency_is_no_longer_published(published, code):
    assert code not in published


def test_every_published_currency_that_pays_a_bill_is_known(published):
    """What we leave out: metals, baskets, test codes, funds and accounting units of list one."""
    units = {"BOV", "CLF", "COU", "CHE", "CHW", "MXV", "USN", "UYI", "UYW", "VED", "XAD", "XSU"}
    no_decimals = {code for code, exponent in published.items() if exponent is None}
    assert set(published) - units - no_decimals <= set(currency_codes())


@pytest.mark.parametrize(("code", "digits"), [("EUR", 2), ("JPY", 0), ("BHD", 3)])
def test_the_reference_says_what_we_know_of_three_currencies(published, code, digits):
    assert published[code] == digits
