"""Threads against published tables: ISO 228-1, pipe diameters, NPT lengths."""

import ast
import csv
import io
import re
from fractions import Fraction

import pytest

from partsdb.rules import thread_forms as forms
from partsdb.rules.engagement import ThreadLimits, external_shear_area, internal_shear_area
from partsdb.rules.threads import parse

pytestmark = pytest.mark.external

SIZES = ["1/8", "1/4", "3/8", "1/2", "3/4", "1"]
LONGER = ["1-1/4", "1-1/2", "2"]


@pytest.fixture(scope="module")
def iso228(package_text):
    text = package_text("bd_warehouse", "0.4.0", "bd_warehouse/data/iso_228_1.csv")
    return {row["size"].replace(" ", "-"): row for row in csv.DictReader(io.StringIO(text))}


@pytest.fixture(scope="module")
def pipe_od_in(package_text):
    text = package_text("bd_warehouse", "0.4.0", "bd_warehouse/pipe.csv")
    rows = csv.DictReader(io.StringIO(text))
    # Copper tube goes by another outside diameter under the same nominal size.
    return {row["nps"]: row["od"] for row in rows if row["material"] in ("steel", "stainless")}


@pytest.fixture(scope="module")
def npt(package_text):
    member = "solid2/extensions/bosl2/BOSL2/threading.scad"
    text = package_text("solidpython2", "2.1.3", member)
    table = text.split("module npt_threaded_rod(", 1)[1].split("info_table", 1)[1]
    row = re.compile(r"\[\s*([\d+/]+),\s*\[\s*([\d.]+),\s*[\d.]+,\s*([\d.]+)\s*\]\]")
    found = {size.replace("+", "-"): (length, tpi) for size, length, tpi in row.findall(table)}
    assert len(found) == 10
    return found


@pytest.mark.parametrize("size", [*SIZES, *LONGER])
def test_parallel_pipe_threads_are_those_of_iso_228(iso228, size):
    published = iso228[size]
    major, pitch, minor = forms.iso228_mm(size)
    assert forms.standard("G", size).threads_per_inch == float(published["tpi"])
    # The standard prints three decimals of figures that it computes from the inch.
    assert major == pytest.approx(float(published["major_diameter"]), abs=0.0012)
    assert pitch == pytest.approx(float(published["pitch_diameter"]), abs=0.0012)
    assert minor == pytest.approx(float(published["minor_diameter"]), abs=0.0012)


@pytest.mark.parametrize("size", [*SIZES, *LONGER])
def test_npt_is_cut_on_the_outside_diameter_of_its_pipe(pipe_od_in, size):
    published_mm = Fraction(pipe_od_in[size.replace("-", " ")]) * Fraction("25.4")
    assert forms.standard("NPT", size).diameter_mm == pytest.approx(float(published_mm), abs=0.001)


@pytest.mark.parametrize("size", [*SIZES, *LONGER])
def test_npt_lengths_and_pitches_are_those_published(npt, size):
    length, tpi = npt[size]
    assert forms.standard("NPT", size).threads_per_inch == float(tpi)
    assert forms.npt_overall_length_in(size) == pytest.approx(float(length), abs=0.0001001)


@pytest.mark.parametrize("size", SIZES)
def test_npt_small_end_lies_one_taper_below_the_pitch_line(pipe_od_in, size):
    # E0 = D - (0.05 D + 1.1) p, ASME B1.20.1 from memory, with the published D.
    outside = Fraction(pipe_od_in[size])
    pitch = 1 / Fraction(str(forms.standard("NPT", size).threads_per_inch))
    expected = outside - (outside / 20 + Fraction("1.1")) * pitch
    assert forms.npt_pitch_diameter_in(size) == pytest.approx(float(expected), abs=0.00002)


@pytest.fixture(scope="module")
def unified(package_text):
    """Return the limits of ASME B1.1 classes 2A and 2B, read without running the package."""
    text = package_text("screw_thread_lib", "0.0.6", "screw_thread_lib/data/ASME.py")
    [table] = [node.value for node in ast.parse(text).body
               if isinstance(node, ast.Assign) and node.targets[0].id == "ASME_UN_2A2B_dict"]  # fmt: skip
    found = ast.literal_eval(table)
    assert len(found) == 11
    return found


def test_unified_threads_are_read_under_their_published_series(unified):
    for size, limits in unified.items():
        thread = parse(f"{size} {limits['series']}")
        if limits["dbsc"] < 0.25:
            assert thread is None  # machine screws by number are no port of ours
            continue
        assert thread.threads_per_inch == limits["n"], size
        assert thread.diameter_mm == pytest.approx(limits["dbsc"] * 25.4, abs=0.001), size
        others = {"UNC", "UNF", "UNS"} - {limits["series"]}
        assert [series for series in others if parse(f"{size} {series}")] == [], size


def test_the_handbooks_example_in_aluminium_follows_from_the_published_limits(unified):
    # handbook 2.3: 3/4-16 UNF, Le 0.5 in; its limits are from memory, these are published
    published = unified["3/4-16"]
    limits = ThreadLimits(
        1 / published["n"],
        male_major_min=published["dmin"],
        female_pitch_max=published["D2max"],
        female_minor_max=published["D1max"],
        male_pitch_min=published["d2min"],
    )
    assert internal_shear_area(limits, engaged_length=0.5) == pytest.approx(0.8293, abs=2e-4)
    assert external_shear_area(limits, engaged_length=0.5) == pytest.approx(0.6163, abs=2e-4)
