"""The helper that reads one file of a package: cache, retry, refusal. No network here."""

import io
import tarfile
import zipfile

import pytest


@pytest.fixture
def cached(tmp_path, monkeypatch, fetching):
    monkeypatch.setattr(fetching.platformdirs, "user_cache_dir", lambda name: str(tmp_path))
    return tmp_path / "external" / "thing-1.0"


def wheel(folder):
    folder.mkdir(parents=True)
    with zipfile.ZipFile(folder / "thing-1.0-py3-none-any.whl", "w") as package:
        package.writestr("thing/data.csv", "größe\n")


def sdist(folder):
    folder.mkdir(parents=True)
    with tarfile.open(folder / "thing-1.0.tar.gz", "w:gz") as package:
        entry = tarfile.TarInfo("thing-1.0/thing/data.csv")
        entry.size = len("größe\n".encode())
        package.addfile(entry, io.BytesIO("größe\n".encode()))


@pytest.mark.parametrize("make", [wheel, sdist])
def test_a_file_is_read_from_the_cache_without_a_download(cached, fetching, monkeypatch, make):
    make(cached)
    monkeypatch.setattr(fetching, "download", lambda *_: pytest.fail("downloaded again"))
    assert fetching.package_text("thing", "1.0", "thing/data.csv") == "größe\n"


def test_a_hiccup_of_the_network_is_tried_once_more(cached, fetching, monkeypatch):
    tries = []

    def second_time_lucky(name, version, folder):
        tries.append(name)
        if len(tries) == 1:
            return "connection reset"
        wheel(folder)
        return ""

    monkeypatch.setattr(fetching, "download", second_time_lucky)
    assert fetching.package_text("thing", "1.0", "thing/data.csv") == "größe\n"
    assert len(tries) == 2


def test_a_package_that_cannot_be_had_is_refused_with_the_reason(cached, fetching, monkeypatch):
    tries = []
    monkeypatch.setattr(fetching, "download", lambda *_: tries.append(1) or "no route to host")
    with pytest.raises(fetching.FetchError, match=r"thing 1\.0 .* no route to host"):
        fetching.package_text("thing", "1.0", "thing/data.csv")
    assert len(tries) == 2


@pytest.mark.parametrize("make", [wheel, sdist])
def test_a_file_that_the_package_lacks_is_refused_by_name(cached, fetching, make):
    make(cached)
    with pytest.raises(fetching.FetchError, match=r"other\.csv"):
        fetching.package_text("thing", "1.0", "thing/other.csv")


@pytest.mark.parametrize(("required", "end"), [(False, pytest.skip), (True, pytest.fail)])
def test_a_missing_reference_skips_and_fails_where_references_are_required(
    without, monkeypatch, required, end
):
    monkeypatch.setitem(without.__globals__, "REQUIRED", required)
    with pytest.raises(end.Exception, match="no such package"):
        without("no such package")
