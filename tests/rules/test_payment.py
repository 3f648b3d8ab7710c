"""Payment terms: what paying early is worth in a year."""

import pytest

from partsdb.errors import InputRefusedError
from partsdb.rules.payment import prompt_discount


@pytest.mark.parametrize("checks", ["money.annualised_discount"], indirect=True)
def test_a_prompt_discount_is_shown_as_a_yearly_return(checks):
    for check in checks:
        given = check["inputs"]
        discount = prompt_discount(given["terms"])
        returns = {"simple": discount.simple_return, "compound": discount.compound_return}
        found = float(returns[given["method"]](given["basis"]))
        assert found == pytest.approx(check["expected"], abs=1e-9), check["id"]


@pytest.mark.parametrize("checks", ["discount_2_10_net_30"], indirect=True)
def test_two_ten_net_thirty_is_worth_what_the_textbook_says(checks):
    discount = prompt_discount("2/10 net 30")
    for check in checks:
        days, expected = check["inputs"]["days"], check["expected"]
        assert float(discount.simple_return(days)) == pytest.approx(expected["simple"], abs=1e-4)
        if "compound" in expected:
            assert discount.compound_return(days) == pytest.approx(expected["compound"], abs=1e-4)


@pytest.mark.parametrize(
    "terms", ["", "net 30", "30 days", "0/10 net 30", "100/10 net 30", "2/30 net 30", "2/40 net 30"]
)
def test_terms_without_a_discount_are_refused_with_a_sentence(terms):
    with pytest.raises(InputRefusedError, match=r"discount|add up"):
        prompt_discount(terms)
