"""Ears that cannot be made at first are tried again; what fails is told once."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from bench.assistant import assembly
from bench.assistant.assembly import Assistant, Options
from bench.assistant.loop import EarsReady
from bench.audio.source import RecordingSource
from bench.core.notes import BenchError
from bench.data.bundle import knowledge
from bench.dialogue.events import Failed, Recovered
from bench.memory.store import Store
from tests.assistant.counting import FakeDisplay


@pytest.mark.parametrize(
    "error", [BenchError("The model is damaged.", "Copy it."), RuntimeError("no memory")]
)
def test_ears_that_could_not_be_made_are_tried_again(
    error: Exception, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Before, a model that was missing at the start left Bench deaf until the next start."""
    assistant = Assistant(Options(), knowledge(), Store(tmp_path), FakeDisplay([]))
    posted: list[object] = []
    tries = 0

    def made(source: object) -> object:
        nonlocal tries
        tries += 1
        if tries < 4:
            raise error
        return "ears"

    monkeypatch.setattr(assembly, "_EARS_AGAIN", 0.01)
    monkeypatch.setattr(assistant, "_ears", made)
    monkeypatch.setattr(assistant.loop, "post", posted.append)
    assistant._load_ears(RecordingSource(np.zeros(16, np.int16)))
    failed, recovered, ready = posted
    assert isinstance(failed, Failed)
    assert isinstance(recovered, Recovered)
    assert failed.part == recovered.part == "recognizer"
    assert isinstance(ready, EarsReady)
    assistant.close()
