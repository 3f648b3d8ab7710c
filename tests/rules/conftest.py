"""The handbook's check values for the tests of the rules."""

import json
from pathlib import Path

import pytest
from hypothesis import settings

# A busy machine is slow, not wrong: a time limit per example would make the tests flicker.
settings.register_profile("rules", deadline=None)
settings.load_profile("rules")

CHECKS = json.loads(
    (Path(__file__).parents[2] / "fixtures" / "check_values.json").read_text("utf-8")
)


@pytest.fixture(scope="session")
def check_value():
    """Return the expected value of the one check with a topic."""

    def expected(topic):
        [check] = [check for check in CHECKS if check["topic"] == topic]
        return check["expected"]

    return expected


@pytest.fixture
def checks(request):
    """Return all checks of the topic that a test names by indirect parametrization."""
    found = [check for check in CHECKS if check["topic"] == request.param]
    assert found, f"no check value has the topic {request.param}"
    return found
