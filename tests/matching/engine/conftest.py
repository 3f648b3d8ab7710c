from __future__ import annotations

import pytest

from partsdb.matching.engine.index import Index
from tests.matching.engine.small_shop import indexed


@pytest.fixture(scope="session")
def index(tmp_path_factory: pytest.TempPathFactory) -> Index:
    return indexed(tmp_path_factory.mktemp("index"))
