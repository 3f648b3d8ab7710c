"""O-rings against a published table of 349 dash sizes (AS568 / ISO 3601)."""

import csv
import io
from itertools import pairwise

import pytest

from partsdb import tables
from partsdb.rules.sizes import check_size, oring
from partsdb.rules.verdict import Outcome

pytestmark = pytest.mark.external


@pytest.fixture(scope="module")
def published(package_text):
    text = package_text("bd_warehouse", "0.4.0", "bd_warehouse/data/o-ring_parameters.csv")
    rows = list(csv.DictReader(io.StringIO(text)))
    assert len(rows) == 349
    return {row["Size"]: (row["iso3601:id"], row["iso3601:w"]) for row in rows}


def test_our_table_holds_the_published_dash_sizes_and_no_other(published):
    assert {row["dash"] for row in tables.rows("orings")} == set(published)


def test_every_dash_size_has_the_published_measures(published):
    for dash, measures in published.items():
        for ours, theirs in zip(oring(dash).measures_mm, measures, strict=True):
            assert float(ours) == pytest.approx(float(theirs), abs=0.006), dash


def test_every_dash_size_meets_its_own_published_measures_and_no_neighbour(published):
    dashes = sorted(published)
    for dash, neighbour in pairwise(dashes):
        inside, section = published[dash]
        offered = f"{inside} x {section} mm"
        assert check_size("o-ring", f"-{dash}", offered).outcome is Outcome.MEETS, dash
        assert check_size("o-ring", f"-{neighbour}", offered).outcome is Outcome.FAILS, dash
