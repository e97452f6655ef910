"""The voice through a real sound system: what leaves the loudspeaker, when, and what happens without one.

What was said is judged by PocketSphinx with its own model, not by anything of ours.
"""

from __future__ import annotations

import os
import queue
import signal
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest

from bench.audio.loudspeaker import SENDS_WITHIN_S
from bench.dialogue.effects import Tuning
from bench.dialogue.events import Failed, Recovered
from bench.voice.speaker import Speaker
from bench.voice.voice_events import Silent, Speaking, VoiceEvent
from bench.voice.voice_settings import VoiceSettings
from tests.audio_rig import AudioRig, Recording
from tests.recognize import recognize

LONG = "Mark one, twenty seven and three eighths, on the second stick of this run, from the end."


class Voice(Speaker):
    """A speaker whose events can be waited for."""

    def __init__(self, settings: VoiceSettings | None = None) -> None:
        self.events: queue.Queue[VoiceEvent] = queue.Queue()
        super().__init__(self.events.put, settings)

    def wait_for(self, kind: type[VoiceEvent], seconds: float = 15.0) -> VoiceEvent:
        """The next event of that kind, skipping others."""
        while True:
            event = self.events.get(timeout=seconds)
            if isinstance(event, kind):
                return event


@contextmanager
def speaking(rig: AudioRig, settings: VoiceSettings | None = None, **environment: str) -> Iterator[Voice]:
    """A started voice whose processes use the rig, woken by a first word."""
    with pytest.MonkeyPatch.context() as patch:
        for key, value in {**rig.environment({}), **environment}.items():
            patch.setenv(key, value)
        voice = Voice(settings)
        voice.start()
        try:
            voice.say("ready")
            yield voice
        finally:
            voice.close()


@pytest.fixture(scope="module")
def voice(audio_rig: AudioRig) -> Iterator[Voice]:
    with speaking(audio_rig) as started:
        started.wait_for(Silent)
        yield started


@pytest.fixture
def record(audio_rig: AudioRig, voice: Voice) -> Iterator[Recording]:
    with audio_rig.recording() as recording:
        yield recording


@pytest.mark.parametrize("words", ["thirty one and a quarter", "fifty degrees", "eleven sixteenths"])
def test_what_leaves_the_loudspeaker_is_what_was_said(voice: Voice, record: Recording, words: str) -> None:
    voice.say(words)
    assert voice.wait_for(Speaking) == Speaking(words)
    voice.wait_for(Silent)
    record.wait_for_silence(0.4)
    assert recognize(record.samples) == words


def test_nothing_sounds_after_the_voice_says_it_is_silent(voice: Voice, record: Recording) -> None:
    voice.say("Height to clear? Say it in inches.")
    voice.wait_for(Silent)
    told = record.seconds
    assert record.wait_for_silence(0.3) <= told + 0.02


def test_hush_is_silent_within_150_ms(voice: Voice, record: Recording) -> None:
    voice.say(LONG)
    record.wait_for_sound()
    record.wait_for_sound(since=record.seconds)
    told = record.seconds
    voice.hush()
    voice.wait_for(Silent)
    assert record.wait_for_silence(0.3) - told < 0.150


def test_new_words_replace_the_old_ones_with_one_silence_at_the_end(voice: Voice, record: Recording) -> None:
    voice.say(LONG)
    record.wait_for_sound()
    voice.say("sixteen")
    record.wait_for_silence(0.4)
    events = [voice.events.get(timeout=5) for _ in range(3)]
    assert events == [Speaking(LONG), Speaking("sixteen"), Silent()]
    assert voice.events.empty()


def test_hush_before_the_first_sound_still_ends_in_silence(voice: Voice) -> None:
    for _ in range(5):
        voice.say("one")
        voice.hush()
        voice.wait_for(Silent)


def test_softer_is_softer_by_the_step_stated(voice: Voice, audio_rig: AudioRig) -> None:
    peaks = []
    for by in (0, -2, +2):
        voice.tune(Tuning.VOLUME, by)
        with audio_rig.recording() as record:
            voice.say("twenty")
            voice.wait_for(Silent)
            record.wait_for_silence(0.4)
        peaks.append(float(np.abs(record.samples.astype(np.int32)).max()))
    assert 20 * np.log10(peaks[1] / peaks[0]) == pytest.approx(-8.0, abs=1.0)
    assert peaks[2] == pytest.approx(peaks[0], rel=0.1)


def test_speaker_pulled_while_speaking_is_told_and_mended(own_rig: AudioRig) -> None:
    with speaking(own_rig) as voice:
        voice.wait_for(Silent)
        voice.say(LONG)
        voice.wait_for(Speaking)
        own_rig.kill()
        trouble = voice.wait_for(Failed)
        assert isinstance(trouble, Failed)
        assert (trouble.part, trouble.message) == ("speaker", "The speaker is gone.")
        voice.wait_for(Silent)
        voice.say("still here")
        voice.wait_for(Silent)
        own_rig.start()
        assert isinstance(voice.wait_for(Recovered), Recovered)
        voice.say("back again")
        voice.wait_for(Speaking)
        voice.wait_for(Silent)


def test_a_player_that_is_stopped_is_replaced(own_rig: AudioRig) -> None:
    """It takes nothing in, as on a machine that is out of memory: the voice's thread waits for its pipe."""
    with speaking(own_rig) as voice:
        voice.wait_for(Silent)
        assert voice._loudspeaker is not None
        os.kill(voice._loudspeaker.process.pid, signal.SIGSTOP)
        stopped = time.monotonic()
        voice.say(f"{LONG} {LONG} {LONG}")
        trouble = voice.wait_for(Failed)
        assert isinstance(trouble, Failed)
        assert trouble.part == "speaker"
        voice.wait_for(Silent)
        voice.wait_for(Recovered)
        assert time.monotonic() - stopped < 2 * SENDS_WITHIN_S + 4
        with own_rig.recording() as record:
            voice.say("thirty one and a quarter")
            voice.wait_for(Silent)
            record.wait_for_silence(0.4)
            assert recognize(record.samples) == "thirty one and a quarter"


def test_a_speaker_asked_for_by_name_that_is_not_there_is_told_and_another_used(audio_rig: AudioRig) -> None:
    with speaking(audio_rig, VoiceSettings(speaker="shop headset")) as voice:
        trouble = voice.wait_for(Failed)
        assert isinstance(trouble, Failed)
        assert "shop headset" in trouble.message
        voice.wait_for(Speaking)


def test_an_unknown_voice_is_told_and_the_usual_one_speaks(audio_rig: AudioRig) -> None:
    with speaking(audio_rig, VoiceSettings(voice="nobody")) as voice:
        trouble = voice.wait_for(Failed)
        assert isinstance(trouble, Failed)
        assert trouble.part == "voice"
        assert "English (America)" in trouble.remedy
        voice.wait_for(Speaking)


def test_no_sound_system_at_all_is_told_once_and_every_say_ends_in_silence(tmp_path: Path) -> None:
    (tmp_path / "asoundrc").write_text("")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("ALSA_CONFIG_PATH", str(tmp_path / "asoundrc"))
        voice = Voice()
        voice.start()
        for _ in range(3):
            voice.say("anyone there")
            voice.wait_for(Silent)
        voice.close()
    assert voice.events.empty()


@pytest.fixture
def hide_espeak(tmp_path: Path) -> Callable[[], dict[str, str]]:
    """Environment in which the system's espeak-ng cannot be loaded: an empty file lies in front of it."""

    def hidden() -> dict[str, str]:
        (tmp_path / "libespeak-ng.so.1").touch()
        (tmp_path / "libespeak.so.1").touch()
        return {"LD_LIBRARY_PATH": str(tmp_path)}

    return hidden


def test_voice_library_missing_is_told_with_the_line_that_mends_it(
    audio_rig: AudioRig, hide_espeak: Callable[[], dict[str, str]], tmp_path: Path
) -> None:
    (tmp_path / "espeakng_loader.py").write_text("raise ImportError")
    environment = {**hide_espeak(), "PYTHONPATH": str(tmp_path), "PATH": ""}
    with speaking(audio_rig, None, **environment) as voice:
        trouble = voice.wait_for(Failed)
        assert isinstance(trouble, Failed)
        assert (trouble.part, trouble.message) == ("voice", "There is no voice on this machine.")
        assert "apt-get install libespeak-ng1" in trouble.remedy
        voice.wait_for(Silent)
        voice.say("anyone")
        voice.wait_for(Silent)


def test_the_wheel_of_espeak_steps_in_when_the_system_has_none(
    audio_rig: AudioRig, hide_espeak: Callable[[], dict[str, str]]
) -> None:
    with audio_rig.recording() as record, speaking(audio_rig, None, **hide_espeak()) as voice:
        voice.wait_for(Silent)
        record.wait_for_silence(0.2)
        told = len(record.samples)
        voice.say("forty five degrees")
        voice.wait_for(Silent)
        record.wait_for_silence(0.4)
    assert recognize(record.samples[told:]) == "forty five degrees"


def test_nothing_reaches_the_terminal(audio_rig: AudioRig, capfd: pytest.CaptureFixture[str]) -> None:
    with speaking(audio_rig) as voice:
        voice.wait_for(Silent)
    assert capfd.readouterr() == ("", "")
