"""The wheel: what is in it and what is not, and that it works where there is no checkout.

It is built here, installed alone into a fresh environment and used from another folder. The packages it depends on
are lent by the environment of the tests; `bench` itself cannot come from there.
"""

from __future__ import annotations

import email
import hashlib
import json
import os
import site
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

from bench import __version__
from bench.data.files import shared

ROOT = Path(__file__).parents[2]
LEAST_MODELS = {"bench/_models/bench-en/am/final.mdl"}
MOST_BYTES = 20_000_000
"""Everything but the weights of the second recognizer, which are packed as they are."""
SECOND = "bench/_models/second/"


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built without the network."""
    folder = tmp_path_factory.mktemp("wheel")
    pip = [sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "--no-build-isolation", "--no-index"]
    subprocess.run([*pip, "-w", str(folder), str(ROOT)], check=True, capture_output=True)
    (made,) = folder.glob("*.whl")
    return made


@pytest.fixture(scope="module")
def names(wheel: Path) -> list[str]:
    """Every file in it."""
    return zipfile.ZipFile(wheel).namelist()


@pytest.fixture(scope="module")
def bench(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Bench:
    """The command, installed from the wheel into an environment of its own."""
    return Bench(wheel, tmp_path_factory.mktemp("fresh"))


class Bench:
    """An installed Bench, run from a folder that is not the checkout."""

    def __init__(self, wheel: Path, folder: Path) -> None:
        self.folder = folder
        self.environment = folder / "environment"
        venv.create(self.environment, with_pip=False, symlinks=os.name != "nt")
        scripts = self.environment / ("Scripts" if os.name == "nt" else "bin")
        self.python = scripts / "python"
        pip = [
            sys.executable,
            "-m",
            "pip",
            "--python",
            str(self.python),
            "install",
            "-q",
            "--no-deps",
            "--no-index",
        ]
        subprocess.run([*pip, str(wheel)], check=True, capture_output=True)
        self.packages = Path(self.says("import sysconfig; print(sysconfig.get_path('purelib'))"))
        # A folder named in a .pth file is searched, but the .pth files inside it (the checkout's own) are not read.
        (self.packages / "lent.pth").write_text("\n".join(site.getsitepackages()), "utf-8")
        self.command = str(scripts / "bench")

    def run(self, *arguments: str, typed: str = "") -> subprocess.CompletedProcess[str]:
        """`bench ARGUMENTS`, whatever it exits with."""
        return self._run([self.command, *arguments], typed)

    def module(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        """`python -m ARGUMENTS`."""
        return self._run([str(self.python), "-m", *arguments], "")

    def says(self, code: str) -> str:
        """What a line of Python prints in its environment."""
        done = self._run([str(self.python), "-c", code], "")
        assert done.returncode == 0, done.stderr
        return done.stdout.strip()

    def _run(self, command: list[str], typed: str) -> subprocess.CompletedProcess[str]:
        home = {"HOME": str(self.folder), "PATH": os.environ["PATH"], "PYTHONUTF8": "1"}
        return subprocess.run(
            command, cwd=self.folder, env=home, input=typed, text=True, capture_output=True, timeout=60
        )


def test_shared_data_is_what_bench_reads_and_no_more(names: list[str]) -> None:
    inside = {name.removeprefix("bench/_shared/") for name in names if name.startswith("bench/_shared/")}
    tables = {path.name for path in shared().glob("*.toml")}
    glyphs = {
        f"glyphs/{path.name}" for path in (shared() / "glyphs").iterdir() if path.suffix in (".txt", ".ttf")
    }
    assert inside == tables | glyphs


def test_no_recording_no_share_alike_no_test_inside(names: list[str], wheel: Path) -> None:
    endings = {Path(name).suffix for name in names}
    assert not endings & {".wav", ".flac", ".ogg", ".mp3", ".svg", ".db"}
    assert {name.split("/")[0] for name in names} == {"bench", f"bench-{__version__}.dist-info"}
    archive = zipfile.ZipFile(wheel)
    recordings = {
        digest(path.read_bytes()) for path in (ROOT / "shared" / "speech").rglob("*") if path.is_file()
    }
    assert len(recordings) > 100
    assert not recordings & {digest(archive.read(name)) for name in names}


def digest(content: bytes) -> str:
    """What tells one file from another."""
    return hashlib.sha256(content).hexdigest()


def test_size(wheel: Path) -> None:
    packed = zipfile.ZipFile(wheel).infolist()
    assert sum(one.compress_size for one in packed if not one.filename.startswith(SECOND)) < MOST_BYTES


def test_models_types_and_license_are_inside(names: list[str]) -> None:
    assert {"bench/py.typed", *LEAST_MODELS} <= set(names)
    checkout = (path for path in (ROOT / "models" / "second").rglob("*") if path.is_file())
    assert {SECOND + path.name for path in checkout} == {name for name in names if name.startswith(SECOND)}
    assert any(name.endswith("licenses/LICENSE") for name in names)


def test_metadata(wheel: Path) -> None:
    archive = zipfile.ZipFile(wheel)
    (name,) = (name for name in archive.namelist() if name.endswith("METADATA"))
    told = email.message_from_bytes(archive.read(name))
    assert (told["Name"], told["Version"], told["Requires-Python"]) == ("bench", __version__, ">=3.11")
    assert told["License-Expression"] == "MIT"


def test_version(bench: Bench) -> None:
    assert bench.run("--version").stdout == f"bench {__version__}\n"


def test_it_is_the_installed_one(bench: Bench) -> None:
    where = bench.says("import bench; print(bench.__file__)")
    assert Path(where).is_relative_to(bench.packages)


def test_marks(bench: Bench) -> None:
    """4 in. saddle, center 15 from the box: 5 3/4, 15 3/4, 25 3/4. NAVEDTRA 14026 fig. 5-49."""
    done = bench.run("marks", "saddle3", "--to-center", "15", "--height", "4", "--method", "book", "--json")
    assert done.returncode == 0, done.stderr
    assert [mark["at"] for mark in json.loads(done.stdout)["marks"]] == [5.75, 15.75, 25.75]


def test_typed_conversation_then_its_sheet(bench: Bench) -> None:
    """A stub of 10 in half-inch EMT is marked at 5: take-up 5, common to bender makers' tables (from memory)."""
    said = "emt\nhalf inch\nstub up\nten\nyes\n"
    done = bench.run("--typed", "--data", "jobs", typed=said)
    assert done.returncode == 0, done.stderr
    assert '5"' in done.stdout
    assert (bench.folder / "jobs" / "jobs.db").is_file()
    paper = bench.run("sheet", "latest", "--data", "jobs", "-o", "sheet.pdf")
    assert paper.returncode == 0, paper.stderr
    assert (bench.folder / "sheet.pdf").read_bytes().startswith(b"%PDF")


def test_doctor_finds_data_and_model(bench: Bench) -> None:
    done = bench.run("doctor", "--json", "--data", "jobs")
    found = {finding["part"]: finding for finding in json.loads(done.stdout)["findings"]}
    assert found["data"]["works"]
    assert "bench-en" in bench.run("model", "list").stdout
    assert found["disk"]["works"]


def test_models_are_whole(bench: Bench) -> None:
    done = bench.run("model", "verify", "--json")
    assert done.returncode == 0, done.stderr
    reports = [json.loads(line) for line in done.stdout.splitlines()]
    assert len(reports) == 2
    for report in reports:
        assert (report["damaged"], report["files_checked"] > 3) == ([], True)
        assert Path(report["path"]).is_relative_to(bench.packages)


def test_set_up_from_an_installed_package_says_so_and_makes_nothing(bench: Bench) -> None:
    done = bench.module("bench.setup", "install")
    assert done.returncode == 1
    assert "Start it with: bench" in done.stderr
    assert not (bench.packages / ".venv").exists()


def test_nothing_is_written_beside_the_package(bench: Bench) -> None:
    """After all of the above: only the wheel's own files and what Python compiled."""
    written = {path.name for path in bench.packages.iterdir()}
    assert written == {"bench", f"bench-{__version__}.dist-info", "lent.pth"}
