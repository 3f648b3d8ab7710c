"""Hardness against published ranges, where scale and state are the same."""

import re

import pytest

from partsdb.rules.materials import hardness

pytestmark = pytest.mark.external


@pytest.fixture(scope="module")
def published(package_text):
    text = package_text("bd_materials", "0.2.5", "bd_materials/materials/metals.py")
    row = re.compile(
        r'name="(?P<name>[^"]+)".*?hardness=Range\((?P<low>\d+), (?P<high>\d+)\),\s*'
        r'hardness_scale="(?P<scale>\w+)"',
        re.DOTALL,
    )
    found = {each["name"]: (int(each["low"]), int(each["high"]), each["scale"])
             for each in row.finditer(text)}  # fmt: skip
    assert len(found) > 30
    return found


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        ("chrome steel 52100", "AlloySteel.G52100_HARDENED_LOW_TEMPERED"),
        ("6061-T6", "Alu_G6061_T6"),
    ],
)
def test_our_hardness_lies_within_the_published_range(published, ours, theirs):
    low, high, scale = hardness(ours)
    published_low, published_high, published_scale = published[theirs]
    assert scale == published_scale
    assert published_low <= low <= high <= published_high


def test_a_carbide_ball_is_harder_than_any_hardened_steel_published(published):
    # 440C 58-60 HRC (handbook 3, from memory) lies among the hardened tool steels, not above them.
    low, high, scale = hardness("440C")
    tools = [each for name, each in published.items() if name.startswith("ToolSteel")]
    hardest = max(top for _, top, each_scale in tools if each_scale == scale)
    assert low <= high <= hardest
