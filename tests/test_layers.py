"""Who may import whom, types, style. Checked by general tools, and by a fresh interpreter."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
OUTSIDE = ("textual", "sounddevice", "vosk", "pyttsx3", "numpy", "soundfile", "sqlite3")


def ran(*command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)


@pytest.mark.parametrize("package", ["core", "language", "job", "dialogue"])
def test_a_pure_package_brings_nothing_from_outside(package: str) -> None:
    code = (
        "import importlib, pkgutil, sys\n"
        f"import bench.{package} as package\n"
        "for module in pkgutil.walk_packages(package.__path__, package.__name__ + '.'):\n"
        "    importlib.import_module(module.name)\n"
        f"print([name for name in {OUTSIDE} if name in sys.modules])"
    )
    result = ran(sys.executable, "-c", code)
    assert result.stdout.strip() == "[]", result.stdout + result.stderr


@pytest.mark.parametrize(
    "tool",
    [
        ("ruff", "check", "--no-cache", "bench", "tests", "models"),
        ("ruff", "format", "--check", "--no-cache", "bench", "tests", "models"),
        ("lint-imports", "--no-cache"),
        ("mypy", "--strict"),
    ],
    ids=lambda tool: " ".join(tool[:2]),
)
def test_general_tools_find_nothing(tool: tuple[str, ...]) -> None:
    program = str(Path(sys.executable).parent / tool[0])
    result = ran(program, *tool[1:])
    assert result.returncode == 0, result.stdout + result.stderr


def test_output_that_nobody_reads_to_the_end_is_no_error() -> None:
    """`bench ... | head`: the reader closes its end, as of the first byte here."""
    command = [sys.executable, "-m", "bench", "doctor", "--screen"]
    program = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert program.stdout is not None
    assert program.stderr is not None
    program.stdout.close()
    assert program.stderr.read() == b""
    program.stderr.close()
    assert program.wait(60) == 0
