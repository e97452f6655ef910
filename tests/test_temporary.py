"""Temporary folders of programs that were killed are removed at the next start, and no others."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from bench.data.temporary import TemporaryFolder, sweep, temporary_folder

pytestmark = pytest.mark.skipif(os.name != "posix", reason="nothing is locked here, and nothing swept")

OWNER = """
import sys
from bench.data.temporary import TemporaryFolder
folder = TemporaryFolder("ears")
(folder.path / "Gr.fst").write_bytes(b"a grammar")
print(folder.path, flush=True)
sys.stdin.read()
"""


@pytest.fixture(autouse=True)
def _temporary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.setenv("TMPDIR", str(tmp_path))


def owner() -> tuple[subprocess.Popen[str], Path]:
    """Another program with a temporary folder."""
    process = subprocess.Popen(
        [sys.executable, "-c", OWNER], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    return process, Path(process.stdout.readline().strip())


def test_what_a_killed_program_left_is_removed_and_what_one_uses_is_not() -> None:
    killed, left = owner()
    running, used = owner()
    assert sweep() == []
    killed.kill()
    killed.communicate()
    assert sweep() == [left]
    assert not left.exists()
    assert (used / "Gr.fst").exists()
    running.kill()
    running.communicate()
    assert sweep() == [used]


def test_what_is_not_known_to_be_ours_is_left_alone(tmp_path: Path) -> None:
    theirs = tmp_path / "elsewhere"
    theirs.mkdir()
    (theirs / ".owner").touch()
    (tmp_path / "bench-ears-link").symlink_to(theirs)
    (tmp_path / "bench-ears-plain").mkdir()
    (tmp_path / "bench-other-kind").mkdir()
    (tmp_path / "bench-other-kind" / ".owner").touch()
    (tmp_path / "bench-voice-file").touch()
    assert sweep() == []
    assert len(list(tmp_path.iterdir())) == 5


def test_a_folder_is_gone_when_it_is_closed() -> None:
    with temporary_folder("voice") as folder:
        (folder / "phrase.wav").touch()
        assert sweep() == []
    assert not folder.exists()
    kept = TemporaryFolder("ears")
    kept.close()
    assert not kept.path.exists()
