"""The lock: everything Bench and its tests need is pinned, by version and by digest, and nothing says where from."""

from __future__ import annotations

import re
import tomllib
from functools import cache
from importlib.metadata import PackageNotFoundError, requires
from typing import Any

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from bench.setup import LOCK, ROOT, locks_for

DIGEST = re.compile(r"--hash=sha256:[0-9a-f]{64}")
EXTRAS = {"bench.txt": set[str](), "test.txt": {"test", "voice", "serve", "glyphs"}}


@cache
def project() -> dict[str, Any]:
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


@cache
def pinned(name: str) -> dict[str, Requirement]:
    """The pins of a lock file that hold on this machine, by name."""
    entries = (LOCK / name).read_text(encoding="utf-8").replace("\\\n", " ").splitlines()
    pins = [Requirement(entry.split("--hash")[0]) for entry in entries if entry.strip()]
    return {canonicalize_name(pin.name): pin for pin in pins if pin.marker is None or pin.marker.evaluate()}


@pytest.mark.parametrize("file", [*EXTRAS, "voice.txt", "virtualenv.txt"])
def test_every_line_is_one_version_with_digests(file: str) -> None:
    entries = (LOCK / file).read_text(encoding="utf-8").replace("\\\n", " ").splitlines()
    for entry in entries:
        assert re.match(r"[a-z0-9._-]+(\[[a-z,]+\])?==[^ ]+ ", entry), entry
        assert DIGEST.search(entry), entry
        assert "://" not in entry


@pytest.mark.parametrize("file", EXTRAS)
def test_what_the_project_asks_for_is_pinned_within_its_bounds(file: str) -> None:
    table = project()["project"]
    asked = [*table["dependencies"], *project()["dependency-groups"]["build"]]
    asked += [one for extra in EXTRAS[file] for one in table["optional-dependencies"][extra]]
    for requirement in map(Requirement, asked):
        pin = pinned(file)[canonicalize_name(requirement.name)]
        (version,) = (clause.version for clause in pin.specifier)
        assert requirement.specifier.contains(version, prereleases=True), requirement


@pytest.mark.parametrize("file", EXTRAS)
def test_what_those_need_in_their_turn_is_pinned_too(file: str) -> None:
    """By what the installed packages say of themselves: pip refuses a package that is needed and not pinned."""
    missing = {
        f"{needed.name}, for {name}"
        for name, pin in pinned(file).items()
        for needed in needs(name, pin.extras)
        if canonicalize_name(needed.name) not in pinned(file)
    }
    assert not missing


def needs(name: str, extras: set[str]) -> list[Requirement]:
    """What an installed package needs here; nothing for one that is not installed."""
    try:
        every = [Requirement(text) for text in requires(name) or ()]
    except PackageNotFoundError:
        return []
    wanted = [{"extra": extra} for extra in ("", *extras)]
    return [one for one in every if one.marker is None or any(one.marker.evaluate(given) for given in wanted)]


def test_both_commands_install_the_same_versions() -> None:
    both = pinned("bench.txt").keys() & pinned("test.txt").keys()
    assert both == pinned("bench.txt").keys()
    assert all(pinned("bench.txt")[name].specifier == pinned("test.txt")[name].specifier for name in both)
    assert pinned("voice.txt").items() <= pinned("test.txt").items()


def test_the_files_named_are_there() -> None:
    assert all(file.is_file() for extras in ([], ["voice"], ["test"]) for file in locks_for(extras))
    assert {file.name for file in LOCK.glob("*.txt")} == {*EXTRAS, "voice.txt", "virtualenv.txt"}
