"""Words to samples: the engines that are there, and what becomes of one that hangs or fails."""

from __future__ import annotations

import shutil
import time

import numpy as np
import pytest
import soxr

from bench.audio.sound import Sound
from bench.core.notes import BenchError
from bench.voice import renderer as module
from bench.voice.renderer import Renderer
from tests.recognize import RATE, recognize


@pytest.fixture
def renderer() -> Renderer:
    return Renderer()


@pytest.mark.parametrize("voice", ["auto", "English (Great Britain)", "flite slt"])
def test_a_voice_says_the_words(renderer: Renderer, voice: str) -> None:
    if voice.startswith("flite") and shutil.which("flite") is None:
        pytest.fail("flite is missing: apt-get install flite")
    sound = renderer.render("twenty seven and three eighths", voice, 150)
    assert recognize(soxr.resample(sound.samples, sound.rate, RATE)) == "twenty seven and three eighths"
    renderer.close()


@pytest.mark.parametrize("voice", ["auto", "flite slt"])
def test_faster_is_shorter(renderer: Renderer, voice: str) -> None:
    def seconds(rate: int) -> float:
        return renderer.render("twenty seven and three eighths", voice, rate).tidied().seconds

    assert seconds(120) > 1.2 * seconds(160) > 1.4 * seconds(220)
    renderer.close()


def test_a_phrase_said_before_is_not_rendered_again(renderer: Renderer) -> None:
    first = renderer.render("say next", "auto", 160)
    assert renderer.render("say next", "auto", 160) is first
    assert renderer.render("say next", "auto", 180) is not first
    renderer.close()


def test_phrases_kept_are_bounded(renderer: Renderer, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "CACHED_SECONDS", 2.0)
    first = renderer.render("mark one", "auto", 160)
    for words in ("mark two", "mark three", "mark four"):
        renderer.render(words, "auto", 160)
    assert renderer.render("mark one", "auto", 160) is not first
    renderer.close()


def test_a_helper_that_dies_is_replaced(renderer: Renderer) -> None:
    renderer.render("one", "auto", 160)
    assert renderer._helper is not None
    renderer._helper.process.kill()
    assert renderer.render("two", "auto", 160).seconds > 0.1
    renderer.close()


def test_a_helper_that_hangs_is_given_up_in_time(monkeypatch: pytest.MonkeyPatch) -> None:
    renderer = Renderer(limit=0.5)
    monkeypatch.setattr("bench.audio.pipes.start", lambda _: _hanging())
    began = time.monotonic()
    with pytest.raises(BenchError) as raised:
        renderer.render("one", "English (America)", 160)
    assert raised.value.code in ("voice_missing", "voice_unknown")
    assert time.monotonic() - began < 10


def test_digits_are_spoken_but_logged(renderer: Renderer, caplog: pytest.LogCaptureFixture) -> None:
    renderer.render("27 3/8", "auto", 160)
    assert "27 3/8" in caplog.text
    renderer.close()


def test_tidied_sound_has_no_silence_at_its_edges_and_a_full_peak() -> None:
    inner = (np.sin(np.arange(2000) / 5) * 8000).astype(np.int16)
    sound = Sound(np.concatenate([np.zeros(9000, np.int16), inner, np.zeros(9000, np.int16)]), 22050)
    tidy = sound.tidied(pause=0.1)
    assert np.abs(tidy.samples.astype(int)).max() == 32767
    assert tidy.seconds == pytest.approx(2000 / 22050 + 0.1, abs=0.03)
    assert Sound(np.zeros(500, np.int16), 22050).tidied().seconds == 0


def _hanging() -> object:
    import subprocess
    import sys

    command = [sys.executable, "-c", "import time; time.sleep(60)"]
    return subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
