"""Reference packages for the external tests: missing ones skip, or fail where they are required."""

import importlib
import os

import pytest

REQUIRED = os.environ.get("PARTSDB_REQUIRE_EXTERNAL") == "1"


@pytest.fixture(scope="session")
def external():
    """Return a function that imports a reference package by name, or skips with the reason."""

    def load(name):
        try:
            return importlib.import_module(name)
        except ImportError:
            if REQUIRED:
                raise
            pytest.skip(f"the reference package {name} is not installed")

    return load
