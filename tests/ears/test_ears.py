"""The listening thread with real speech: endpoints, pre-roll, deafness, loss of the microphone, swaps."""

from __future__ import annotations

import errno
import tempfile
import threading
import time
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from bench.audio.microphone import MicrophoneSource
from bench.audio.recording import read_recording
from bench.audio.samples import RATE, Samples
from bench.audio.source import RecordingSource, Source
from bench.core.notes import BenchError
from bench.data.files import shared
from bench.data.phrases import lexicon
from bench.dialogue.events import Failed, Recovered
from bench.ears import ear_events as events
from bench.ears.choose import recognizer
from bench.ears.ear_events import EarEvent
from bench.ears.ear_settings import EarSettings
from bench.ears.ears import Ears
from bench.ears.gain_control import GainControl
from bench.ears.recognizer import Recognizer
from bench.language.meaning import Expectation, Heard, Hypothesis, Kind, Understanding
from bench.language.understand import understand
from tests.audio_rig import AudioRig, synthetic_voice
from tests.ears.corpus import entries, sound

LENGTH = Expectation(Kind.LENGTH, Fraction(0), Fraction(120), commands=("repeat", "back"))
YESNO = Expectation(Kind.YESNO, commands=("repeat", "back"))


def quiet(seconds: float) -> Samples:
    return np.random.default_rng(5).integers(-4, 4, round(seconds * RATE), np.int16, endpoint=True)


def spoken(words: str, voice: str = "flite:slt") -> Samples:
    """Words by a synthetic voice, without the silence around them."""
    import soxr

    samples, rate = synthetic_voice(words, voice)
    resampled: Samples = soxr.resample(samples.astype(np.float32), rate, RATE).astype(np.int16)
    loud = np.flatnonzero(np.abs(resampled.astype(np.int32)) > 300)
    return resampled[loud[0] : loud[-1]]


def real(word: str) -> Samples:
    """A real person's word, from Speech Commands (Warden 2018)."""
    return sound(next(entries(lambda entry: entry["text"] == word and entry["source"] == "speech-commands")))


def ringing() -> Samples:
    """The last 50 ms of a word of ours, and a second of the room after it, as loud as a person."""
    room = read_recording(shared() / "speech" / "rooms" / "studio_live_room.flac").astype(np.float64)
    room = room[int(np.abs(room).argmax()) :]
    word = spoken("seven")
    heard = np.convolve(word, room)
    loudest = np.abs(heard).max()
    start = len(word) - round(0.05 * RATE)
    wet: Samples = (heard[start : start + RATE] * 8000 / loudest).astype(np.int16)
    return wet + quiet(1)


class Listener:
    """Ears over a source, and everything they tell."""

    def __init__(self, source: Source, ear: Recognizer, expectation: Expectation) -> None:
        self.told: list[EarEvent] = []
        self.expectation = expectation
        self.new = threading.Condition()
        quick = EarSettings(retry_every=0.05, lost_after=0.3)
        self.ears = Ears(ear, source, self._hear, self._understand, quick)
        self.ears.expect(expectation)

    def _hear(self, event: EarEvent) -> None:
        with self.new:
            self.told.append(event)
            self.new.notify_all()

    def _understand(self, heard: Heard) -> Understanding:
        return understand(heard, self.expectation, lexicon())

    def wait(self, wanted: Callable[[EarEvent], bool], seconds: float = 30.0) -> EarEvent:
        """The first event that is `wanted`, however long the machine takes."""
        with self.new:
            assert self.new.wait_for(lambda: any(map(wanted, self.told)), seconds), self.told
            return next(event for event in self.told if wanted(event))

    def of(self, kind: type[EarEvent]) -> list[EarEvent]:
        return [event for event in self.told if isinstance(event, kind)]


def heard_from(sound: Samples, expectation: Expectation, ear: Recognizer) -> Listener:
    """Everything the ears tell about a whole recording."""
    listener = Listener(RecordingSource(sound, paced=False), ear, expectation)
    listener.ears.start()
    listener.wait(lambda event: isinstance(event, events.Ended))
    listener.ears.close()
    return listener


def texts(listener: Listener) -> list[str]:
    return [
        event.heard.text for event in listener.of(events.Utterance) if isinstance(event, events.Utterance)
    ]


@pytest.fixture
def ear() -> Recognizer:
    return recognizer("vosk")


def test_a_number_with_a_pause_in_it_is_one_utterance(ear: Recognizer) -> None:
    """0.6 s is longer than what ends a whole answer, but "twenty" could go on."""
    track = np.concatenate([quiet(1), spoken("twenty"), quiet(0.6), spoken("two and a half"), quiet(1.5)])
    listener = heard_from(track, LENGTH, ear)
    assert texts(listener) == ["twenty two and a half"]


def test_an_answer_that_is_whole_ends_sooner_than_one_that_could_go_on() -> None:
    def utterances(gap: float) -> list[str]:
        track = np.concatenate([quiet(1), spoken("yes"), quiet(gap), spoken("no"), quiet(1.5)])
        return texts(heard_from(track, YESNO, recognizer("vosk")))

    assert utterances(0.75) == ["yes", "no"]


def test_the_start_of_a_word_is_not_lost() -> None:
    """What the recognizer is given begins before the word does."""
    given: list[Samples] = []

    class Remembering(Scripted):
        def accept(self, block: Samples) -> None:
            given.append(block)

    word = real("seven")
    lead = 1.0
    heard_from(np.concatenate([quiet(lead), word, quiet(1.5)]), YESNO, Remembering())
    collected = np.concatenate(given)
    loud = np.flatnonzero(np.abs(word.astype(np.int32)) > np.abs(word).max() // 4)
    piece = GainControl().add(word[loud[0] - 400 : loud[0] + 400])
    windows = np.lib.stride_tricks.sliding_window_view(collected, len(piece))
    places = np.flatnonzero((windows == piece).all(axis=1))
    assert len(places) == 1
    assert places[0] > 0.1 * RATE


def test_deaf_ears_hear_nothing_and_hear_again_after_the_hold_off() -> None:
    source = Live()
    listener = Listener(source, Scripted(), YESNO)
    listener.ears.deafen(True)
    listener.ears.start()
    source.give(np.concatenate([real("yes"), quiet(1.2)]))
    source.drained()
    assert not listener.of(events.Utterance)
    listener.ears.deafen(False)
    source.give(quiet(0.6))
    source.drained()
    source.give(np.concatenate([real("yes"), quiet(1.2)]))
    listener.wait(lambda event: isinstance(event, events.Utterance))
    listener.ears.close()
    assert len(listener.of(events.Level)) > 10


def test_the_end_of_our_own_voice_is_not_heard() -> None:
    """What is still in the air and in the sound card's buffers when the voice has ended."""
    source = Live()
    listener = Listener(source, Scripted(), YESNO)
    listener.ears.deafen(True)
    listener.ears.start()
    listener.ears.deafen(False)
    source.give(np.concatenate([spoken("seven")[: round(0.2 * RATE)], quiet(1.2)]))
    source.drained()
    listener.ears.close()
    assert len(listener.of(events.Level)) > 10
    assert not listener.of(events.VoiceStarted)


@pytest.mark.parametrize("gap", [0.1, 0.2])
def test_an_answer_within_the_hold_off_is_heard_from_its_beginning(gap: float) -> None:
    """The end of our voice in a measured room (OpenAIR), then a person: their word is given whole, the voice is not."""
    given: list[Samples] = []

    class Remembering(Scripted):
        def accept(self, block: Samples) -> None:
            given.append(block)

    source, tail, word = Live(), ringing(), real("seven")
    loud = np.flatnonzero(np.abs(word.astype(np.int32)) > np.abs(word).max() // 4)
    word = word[loud[0] - 400 :]
    at = round((0.05 + gap) * RATE)
    track = np.concatenate([tail, quiet(1.5)])
    track[at : at + len(word)] += word
    listener = Listener(source, Remembering(), YESNO)
    listener.ears.deafen(True)
    listener.ears.deafen(False)
    source.give(track)
    listener.ears.start()
    listener.wait(lambda event: isinstance(event, events.Utterance))
    listener.ears.close()
    collected = np.concatenate(given)
    first = GainControl().add(track[at : at + 800])
    windows = np.lib.stride_tricks.sliding_window_view(collected, len(first))
    places = np.flatnonzero((windows == first).all(axis=1))
    assert len(places) == 1
    assert places[0] < gap * RATE, "our own words are not given"


def test_the_tail_of_our_voice_begins_nothing_and_a_later_answer_is_heard() -> None:
    source, tail = Live(), ringing()
    listener = Listener(source, Scripted(), YESNO)
    listener.ears.deafen(True)
    listener.ears.deafen(False)
    source.give(np.concatenate([tail, quiet(1)]))
    listener.ears.start()
    source.drained()
    assert not listener.of(events.VoiceStarted)
    source.give(np.concatenate([real("yes"), quiet(1.5)]))
    listener.wait(lambda event: isinstance(event, events.Utterance))
    listener.ears.close()


def test_a_new_expectation_changes_what_can_be_heard(ear: Recognizer) -> None:
    source = Live()
    listener = Listener(source, ear, YESNO)
    listener.ears.start()
    track = np.concatenate([quiet(0.5), spoken("thirty one and a quarter"), quiet(1.5)])
    source.give(track)
    listener.wait(lambda event: isinstance(event, events.Utterance))
    assert "thirty" not in texts(listener)[0]
    listener.expectation = LENGTH
    listener.ears.expect(LENGTH)
    source.drained()
    source.give(track)
    listener.wait(lambda event: isinstance(event, events.Utterance) and "thirty" in event.heard.text)
    listener.ears.close()
    assert texts(listener)[-1] == "thirty one and a quarter"


def test_a_microphone_that_vanishes_is_told_and_found_again() -> None:
    source = Live()
    listener = Listener(source, Scripted(), YESNO)
    listener.ears.start()
    source.give(quiet(0.3))
    source.drained()
    source.gone = True
    lost = listener.wait(lambda event: isinstance(event, Failed))
    assert isinstance(lost, Failed)
    assert lost.part == "microphone"
    assert lost.remedy
    time.sleep(0.2)
    assert len(listener.of(Failed)) == 1
    source.gone = False
    listener.wait(lambda _: bool(listener.of(Recovered)))
    source.give(np.concatenate([quiet(0.5), real("yes"), quiet(1.2)]))
    listener.wait(lambda event: isinstance(event, events.Utterance))
    listener.ears.close()


def test_a_sound_system_that_dies_and_comes_back(own_rig: AudioRig) -> None:
    """The whole of PulseAudio is killed under an open microphone, then started again."""
    with own_rig.here():
        listener = Listener(MicrophoneSource(), Scripted(), YESNO)
        listener.ears.start()
        listener.wait(lambda event: isinstance(event, events.Level))
        own_rig.kill()
        listener.wait(lambda event: isinstance(event, Failed))
        own_rig.start()
        listener.wait(lambda _: bool(listener.of(Recovered)))
        listener.told.clear()
        own_rig.play(np.concatenate([quiet(0.5), real("yes"), quiet(1.2)]), RATE)
        listener.wait(lambda event: isinstance(event, events.Utterance))
        listener.ears.close()


def test_a_recognizer_that_fails_is_told_and_listening_goes_on() -> None:
    class Failing(Scripted):
        failures = 1

        def finish(self) -> Heard:
            if self.failures:
                self.failures -= 1
                raise BenchError("The recognizer broke.", "")
            return super().finish()

    word = np.concatenate([quiet(1), real("yes"), quiet(1.5)])
    listener = heard_from(np.concatenate([word, word]), YESNO, Failing())
    lost = listener.of(Failed)
    assert [event.part for event in lost if isinstance(event, Failed)] == ["recognizer"]
    assert texts(listener) == ["yes"]


def test_a_slow_first_sound_is_no_lost_microphone() -> None:
    """A wireless headset may take seconds to wake: its silence after opening is not the end of it."""
    source = Live()
    source.wakes = 0.8
    listener = Listener(source, Scripted(), YESNO)
    listener.ears.start()
    source.give(np.concatenate([quiet(0.5), real("yes"), quiet(1.2)]))
    listener.wait(lambda event: isinstance(event, events.Utterance))
    listener.ears.close()
    assert not listener.of(Failed)


def test_a_fault_in_the_listening_thread_is_told_and_listening_goes_on() -> None:
    class Faulty(Live):
        faults = 1

        def read(self, timeout: float) -> Samples | None:
            if self.faults:
                self.faults -= 1
                raise ZeroDivisionError("a mistake")
            return super().read(timeout)

    source = Faulty()
    listener = Listener(source, Scripted(), YESNO)
    listener.ears.start()
    source.give(np.concatenate([quiet(0.5), real("yes"), quiet(1.2)]))
    listener.wait(lambda event: isinstance(event, events.Utterance))
    listener.ears.close()
    rooms = [event.part for event in listener.told if isinstance(event, Failed | Recovered)]
    assert rooms == ["ears", "ears"]


def test_a_grammar_that_cannot_be_stored_is_tried_again(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A full temporary folder, then room in it; what is said meanwhile must not end the thread."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    full = True

    def copied(source: str | Path, target: Path) -> None:
        if full:
            raise OSError(errno.ENOSPC, "No space left on device")
        link(source, target)

    from bench.ears import vosk_model

    link = vosk_model._link
    monkeypatch.setattr(vosk_model, "_link", copied)
    source = Live()
    listener = Listener(source, recognizer("vosk"), YESNO)
    listener.ears.start()
    listener.wait(lambda event: isinstance(event, Failed) and event.part == "recognizer")
    said = np.concatenate([quiet(0.5), real("yes"), quiet(1.2)])
    source.give(said)
    source.drained()
    assert not listener.of(events.Utterance)
    full = False
    time.sleep(0.2)
    source.give(said)
    listener.wait(lambda event: isinstance(event, events.Utterance))
    listener.ears.close()
    assert texts(listener) == ["yes"]
    assert len(listener.of(Failed)) == 1
    assert [event.part for event in listener.of(Recovered) if isinstance(event, Recovered)] == ["recognizer"]


def test_long_talk_is_not_for_us_and_is_given_up() -> None:
    """Ten seconds and more of a book being read (LJ Speech) answer no question."""
    entry = next(entries(lambda one: one["source"] == "ljspeech" and one["duration"] > 9))
    talk = np.concatenate([sound(entry)] * 2)
    listener = heard_from(np.concatenate([quiet(1), talk, quiet(2)]), YESNO, recognizer("vosk"))
    heard = [event.heard for event in listener.of(events.Utterance) if isinstance(event, events.Utterance)]
    readings = [one for several in heard for one in several.hypotheses]
    assert all(one.confidence < lexicon().certainty.ignore for one in readings)


class Scripted(Recognizer):
    """A recognizer that always hears "yes": for tests of everything around it."""

    name = "scripted"

    def expect(self, expectation: Expectation) -> None: ...

    def accept(self, block: Samples) -> None: ...

    def partial(self) -> Heard:
        return Heard((Hypothesis(("yes",), 1.0),))

    def finish(self) -> Heard:
        return self.partial()

    def close(self) -> None: ...


class Live:
    """A microphone in the test's hands: gives what it is given, at once, and can be pulled out."""

    waits = False
    name = "test microphone"

    def __init__(self) -> None:
        self.gone = False
        self.wakes = 0.0
        self._opened = 0.0
        self._blocks: list[Samples] = []

    def open(self) -> None:
        if self.gone:
            raise BenchError("There is no microphone.", "Plug it in.")
        self._opened = time.monotonic()

    def close(self) -> None: ...

    def give(self, sound: Samples) -> None:
        self._blocks += [sound[at : at + 480] for at in range(0, len(sound), 480)]

    def drained(self) -> None:
        while self._blocks:
            time.sleep(0.005)
        time.sleep(0.1)

    def read(self, timeout: float) -> Samples | None:
        if time.monotonic() < self._opened + self.wakes:
            time.sleep(0.02)
            return None
        if self._blocks and not self.gone:
            return self._blocks.pop(0)
        time.sleep(0.02)
        return None if self.gone else np.zeros(160, np.int16)
