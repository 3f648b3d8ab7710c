"""The shop's own figures."""

from __future__ import annotations

import pytest

from partsdb.errors import UsageError
from partsdb.jobs.settings import KINDS, change_setting, setting, settings_shown, share
from partsdb.jobs.who import stamp
from partsdb.store import events


def test_every_default_is_a_value_that_it_may_have(in_shop):
    for name, kind in KINDS.items():
        assert change_setting(name, kind.default, stamp()).value == kind.default


def test_a_setting_stands_until_it_is_set_again(in_shop):
    assert setting("warranty_days") == "90"
    change_setting("warranty_days", "180", stamp())
    assert setting("warranty_days") == "180"
    shown = {each.setting: each for each in settings_shown()}
    assert (shown["warranty_days"].value, shown["warranty_days"].default) == ("180", "90")
    assert events.history("setting")[0].detail == {"name": "warranty_days", "was": "", "is": "180"}


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("inspect_rate", "5"), ("inspect_rate", "0"), ("inspect_rate", "five"),
        ("warranty_days", "-1"), ("warranty_days", "1.5"), ("grade_prior_clean", "0"),
        ("customs_basis", "DAP"), ("home_currency", "XQQ"), ("grade_c_below", "0.04"),
        ("no_such", "1"),
    ],
)  # fmt: skip
def test_a_value_that_it_cannot_have_is_refused(in_shop, name, value):
    with pytest.raises(UsageError):
        change_setting(name, value, stamp())


def test_a_share_is_exact(in_shop):
    change_setting("inspect_rate", "0.1", stamp())
    assert share("inspect_rate") * 10 == 1
