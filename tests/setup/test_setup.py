"""The set-up: what it asks of the system, what it does without rights, and how little when all is there.

Package names and the packages' contents are Debian 12's.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from bench import setup
from bench.setup import Need

MISSING = Need("libportaudio2", "microphone and speaker", lambda: False)
PRESENT = Need("libespeak-ng1", "the voice", lambda: True)


@pytest.fixture
def commands(monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """Commands the set-up would have run; all succeed."""
    run: list[list[str]] = []

    def note(command: Sequence[str], *_: object, **__: object) -> bool:
        run.append(list(command))
        return True

    monkeypatch.setattr(setup, "_run", note)
    monkeypatch.setattr("shutil.which", lambda name: f"/usr/bin/{name}")
    return run


def test_what_is_there_is_left_alone(commands: list[list[str]]) -> None:
    assert setup.system_packages([PRESENT])
    assert commands == []


def test_as_root_what_is_missing_is_installed_and_nothing_removed(
    commands: list[list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("os.geteuid", lambda: 0)
    assert setup.system_packages([MISSING, PRESENT])
    update, install = commands
    assert update[0] == "apt-get"
    assert {"install", "--no-remove", "libportaudio2"} <= set(install)
    assert "libespeak-ng1" not in install


def test_without_rights_the_one_line_is_printed_and_nothing_run(
    commands: list[list[str]], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("os.geteuid", lambda: 1000)
    monkeypatch.setattr(setup, "_run", lambda *_, **__: False)
    assert not setup.system_packages([MISSING])
    assert "sudo apt-get update && sudo apt-get install -y libportaudio2" in capsys.readouterr().out


def test_sudo_that_asks_nothing_is_used(commands: list[list[str]], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("os.geteuid", lambda: 1000)
    assert setup.system_packages([MISSING])
    assert commands[0] == ["sudo", "-n", "true"]
    assert all(command[:2] == ["sudo", "-n"] for command in commands)


def test_a_second_run_installs_nothing_and_the_tests_add_to_it(
    commands: list[list[str]], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(setup, "MARKER", tmp_path / "marker")
    assert setup.install([])
    assert setup.install([])
    assert len(commands) == 2
    assert setup.install(["test"])
    assert str(setup.LOCK / "test.txt") in commands[-2]
    assert setup.install([])
    assert len(commands) == 4


@pytest.mark.parametrize(("extras", "files"), [([], 1), (["voice"], 2), (["test", "voice"], 1)])
def test_packages_come_pinned_with_their_digests(
    extras: list[str], files: int, commands: list[list[str]], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(setup, "MARKER", tmp_path / "marker")
    assert setup.install(extras)
    pinned, bench = commands
    assert "--require-hashes" in pinned
    assert pinned.count("-r") == files
    assert {"--no-deps", "--no-build-isolation"} <= set(bench)
    assert bench[-2:] == ["-e", str(setup.ROOT)]


def test_without_the_venv_package_a_pinned_virtualenv_makes_the_environment(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    run: list[list[str]] = []

    def note(command: Sequence[str], *_: object, **__: object) -> bool:
        run.append(list(command))
        return "venv" not in command

    monkeypatch.setattr(setup, "VENV", tmp_path / "venv")
    monkeypatch.setattr(setup, "_run", note)
    assert setup.make_venv()
    _, install, make = run
    assert install[install.index("--require-hashes") :] == [
        "--require-hashes",
        "-r",
        str(setup.LOCK / "virtualenv.txt"),
    ]
    assert make[1:3] == ["-m", "virtualenv"]


def test_it_needs_nothing_but_the_standard_library() -> None:
    """A bare interpreter, without site packages, can import it; so a fresh checkout can be set up."""
    root = Path(setup.__file__).parents[1]
    code = f"import sys; sys.path.insert(0, {str(root)!r}); import bench.setup"
    subprocess.run([sys.executable, "-I", "-S", "-c", code], check=True)


def test_an_old_python_is_refused_with_the_version_needed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.version_info", (3, 9, 2))
    assert setup.main([]) == 1
    assert "3.11" in capsys.readouterr().err


def test_every_need_names_a_debian_package_that_exists() -> None:
    """Asked of apt's own index, which a Debian machine has."""
    if shutil.which("apt-cache") is None:
        pytest.skip("not a Debian machine")
    needs = [need.package for need in (*setup.NEEDS, *setup.TEST_NEEDS) if "venv" not in need.package]
    shown = subprocess.run(["apt-cache", "show", "--no-all-versions", *needs], capture_output=True, text=True)
    there = {line.split(": ")[1] for line in shown.stdout.splitlines() if line.startswith("Package: ")}
    assert set(needs) <= there


def test_it_says_what_it_will_install_before_it_does(
    commands: list[list[str]], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("os.geteuid", lambda: 0)
    told: list[str] = []

    def run(*_: object, **__: object) -> bool:
        told.append(capsys.readouterr().out)
        return True

    monkeypatch.setattr(setup, "_run", run)
    setup.system_packages([MISSING])
    assert "libportaudio2 (microphone and speaker)" in told[0]
    assert "--no-system" in told[0]


def test_told_not_to_it_leaves_the_system_alone(
    commands: list[list[str]],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
) -> None:
    monkeypatch.setattr("os.geteuid", lambda: 0)
    monkeypatch.setattr(setup, "NEEDS", (MISSING,))
    monkeypatch.setattr(setup, "MARKER", tmp_path / "marker")
    assert setup.main(["--no-system", "install"]) == 0
    assert not [command for command in commands if "apt-get" in command]
    assert "apt-get install -y libportaudio2" in capsys.readouterr().out


def test_from_an_installed_package_nothing_is_made(
    commands: list[list[str]],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
) -> None:
    monkeypatch.setattr(setup, "ROOT", tmp_path)
    monkeypatch.setattr(setup, "NEEDS", (PRESENT,))
    assert setup.main(["install"]) == 1
    assert commands == []
    assert "Start it with: bench" in capsys.readouterr().err
