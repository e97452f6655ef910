"""Helper processes run no code that lies in the current folder beside the data."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.audio import pipes
from bench.ears.second.model import find_second

HOSTILE = "from pathlib import Path\nPath(__file__).with_suffix('.ran').touch()\nraise SystemExit(1)\n"


@pytest.mark.parametrize(
    ("module", "name"),
    [
        ("bench.voice.render_process", "json"),
        ("bench.voice.render_process", "pyttsx3"),
        ("bench.ears.second.process", "json"),
        ("bench.ears.second.process", "numpy"),
    ],
)
def test_helper_processes_do_not_import_from_the_current_folder(
    module: str, name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`python -m` alone puts the current folder first (Python docs, sys.path); with `-P` it does not."""
    model = find_second()
    assert model is not None
    (tmp_path / f"{name}.py").write_text(HOSTILE)
    monkeypatch.chdir(tmp_path)
    process = pipes.start(module, *([str(model.absolute())] if "ears" in module else []))
    assert process.stdout is not None
    told = pipes.receive(process.stdout)
    pipes.end(process)
    assert not (tmp_path / f"{name}.ran").exists()
    assert told is not None
    assert "error" not in told[0]
    assert told[0].get("event", "ready") == "ready"
