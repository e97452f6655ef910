"""The screen in a browser: textual-serve runs the command with a driver of its own, and no terminal."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path


def test_without_a_terminal_it_paints_for_the_browser(tmp_path: Path) -> None:
    """`__GANGLION__` is the line by which textual-serve knows that a Textual program paints, not a plain one."""
    driver = {"TEXTUAL_DRIVER": "textual.drivers.web_driver:WebDriver", "COLUMNS": "100", "ROWS": "30"}
    program = subprocess.Popen(
        [sys.executable, "-m", "bench", "--data", str(tmp_path)],
        env=os.environ | driver,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )
    assert program.stdout is not None
    try:
        assert program.stdout.readline() == b"__GANGLION__\n"
        assert b"PIPE" not in program.stdout.read(200)  # block letters, not words
    finally:
        program.kill()
        program.communicate()
