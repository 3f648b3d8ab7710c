"""References for the external tests: missing ones skip, or fail where they are required."""

import importlib
import importlib.util
import os
import sys
from pathlib import Path

import pytest

REQUIRED = os.environ.get("PARTSDB_REQUIRE_EXTERNAL") == "1"


def _sibling(name):
    # Tests are imported by path, so a helper beside them has to be as well.
    spec = importlib.util.spec_from_file_location(name, Path(__file__).with_name(f"{name}.py"))
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


fetch = _sibling("fetch")


def missing(reason):
    """Skip a test whose reference is not to be had; fail it where references are required."""
    if REQUIRED:
        pytest.fail(f"a reference is required and missing: {reason}")
    pytest.skip(reason)


@pytest.fixture(scope="session")
def without():
    """Return the function that ends a test whose reference is not to be had."""
    return missing


@pytest.fixture(scope="session")
def external():
    """Return a function that imports a reference package by name, or skips with the reason."""

    def load(name):
        try:
            return importlib.import_module(name)
        except ImportError:
            missing(f"the package {name} is not installed")

    return load


@pytest.fixture(scope="session")
def package_text():
    """Return a function that reads one file of a published package, or skips with the reason."""

    def read(name, version, member):
        try:
            return fetch.package_text(name, version, member)
        except fetch.FetchError as error:
            missing(str(error))

    return read


@pytest.fixture(scope="session")
def fetching():
    """Return the helper itself, for its own tests."""
    return fetch
