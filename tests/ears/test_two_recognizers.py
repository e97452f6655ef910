"""Two recognizers as one recognizer, and what becomes of it when the second is missing, damaged, killed or slow."""

from __future__ import annotations

import shutil
import signal
import subprocess
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from bench.audio.samples import RATE, Samples
from bench.audio.source import RecordingSource
from bench.data.phrases import lexicon
from bench.dialogue.events import Failed, Recovered
from bench.ears import ear_events as events
from bench.ears.choose import recognizer
from bench.ears.second import client, helper
from bench.ears.second.client import ROOM
from bench.ears.second.model import find_second
from bench.ears.two_recognizers import TwoRecognizers
from bench.ears.whole import hear_whole, padded
from bench.language.meaning import Expectation, Kind, typed
from bench.language.understand import understand
from tests.ears.corpus import entries, sound
from tests.ears.test_ears import Listener, quiet, real, texts

YESNO = Expectation(Kind.YESNO, commands=("repeat", "back", "next"))
COUNT = Expectation(Kind.COUNT, most=Fraction(20))
Told = list[Failed | Recovered]


class Outages:
    """What the second recognizer tells."""

    def __init__(self) -> None:
        self.told: Told = []
        self._new = threading.Condition()

    def __call__(self, event: Failed | Recovered | events.SecondListening) -> None:
        if isinstance(event, events.SecondListening):
            return
        with self._new:
            self.told.append(event)
            self._new.notify_all()

    def wait(self, kind: type[Failed | Recovered]) -> Failed | Recovered:
        with self._new:
            found = self._new.wait_for(lambda: any(isinstance(one, kind) for one in self.told), 60)
        assert found, self.told
        return next(one for one in self.told if isinstance(one, kind))


@pytest.fixture(autouse=True)
def _tried_again_soon_and_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(client, "RETRY_S", (0.3,))
    monkeypatch.setattr("bench.ears.choose.PATIENCE", 30.0)


@pytest.fixture
def both() -> Iterator[TwoRecognizers]:
    ear = recognizer()
    assert isinstance(ear, TwoRecognizers)
    ear.expect(YESNO)
    yield ear
    ear.close()


def hears_yes(ear: TwoRecognizers) -> bool:
    return hear_whole(ear, real("yes")).text == "yes"


def test_both_are_heard_and_told_apart(both: TwoRecognizers) -> None:
    heard = hear_whole(both, real("no"))
    assert heard.text == "no"
    assert heard.confidence > 0.9
    assert both.apart.first.hypotheses
    assert both.apart.second is not None
    assert both.apart.second[0].words == ("no",)


def test_a_reading_of_the_first_alone_is_scored_by_the_second(both: TwoRecognizers) -> None:
    """Whatever the first reads is among the readings of both, with a score."""
    for entry in list(entries(lambda one: one["source"] == "wake-word-benchmark"))[:3]:
        hear_whole(both, sound(entry))
        if both.apart.second is not None:
            scored = {reading.words for reading in both.apart.second}
            unwritten = set(lexicon().hesitations)
            first = (one.words for one in both.apart.first.hypotheses)
            assert {tuple(word for word in words if word not in unwritten) for words in first} <= scored


def test_what_passes_for_a_pause_in_noise_is_heard_to_its_end(both: TwoRecognizers) -> None:
    """The second begins in the middle of "seven"; the rest comes without speech having been noticed again."""
    both.expect(COUNT)
    word = padded(real("seven"))
    middle = len(word) // 2
    both.accept(word[:middle])
    both.pause()
    both.accept(word[middle:])
    heard = both.finish()
    assert heard.text == "seven"
    assert both.apart.second is not None
    assert both.apart.second[0].words == ("seven",)


def heard_in(track: Samples, both: TwoRecognizers, expectation: Expectation) -> list[str]:
    """What is heard in a track, from beginning to end."""
    listener = Listener(RecordingSource(track), both, expectation)
    listener.ears.start()
    listener.wait(lambda event: isinstance(event, events.Ended))
    listener.ears.close()
    return texts(listener)


def test_an_answer_that_both_are_sure_of_ends_at_once(both: TwoRecognizers) -> None:
    """Between two answers only 0.4 s of quiet, and both are heard: one recognizer alone waits for 0.35 s and longer."""
    track = np.concatenate([quiet(1), real("yes"), quiet(0.4), real("no"), quiet(1.5)])
    assert heard_in(track, both, YESNO) == ["yes", "no"]


def test_what_could_go_on_ends_sooner_when_both_are_sure(both: TwoRecognizers) -> None:
    """0.8 s between two answers of which the first could go on: where they are not sure they wait for 0.9."""
    assert understand(typed("eight"), COUNT, lexicon()).could_go_on
    track = np.concatenate([quiet(1), real("eight"), quiet(0.8), real("seven"), quiet(1.5)])
    assert heard_in(track, both, COUNT) == ["eight", "seven"]


def test_grammars_make_room_for_one_another(both: TwoRecognizers, monkeypatch: pytest.MonkeyPatch) -> None:
    """The process keeps a few; one that had to go is handed over again."""
    monkeypatch.setattr(client, "_GRAMMARS", 2)
    counts = [Expectation(Kind.COUNT, most=Fraction(most)) for most in (10, 20)]
    for expectation in (YESNO, *counts, YESNO):
        both.expect(expectation)
        heard = hear_whole(both, real("yes" if expectation is YESNO else "seven"))
        assert heard.text == ("yes" if expectation is YESNO else "seven")
        assert both.apart.second


def with_second(folder: Path | None, told: Outages) -> TwoRecognizers:
    ear = recognizer(second=folder, tell=told)
    assert isinstance(ear, TwoRecognizers)
    ear.expect(YESNO)
    return ear


def test_without_weights_the_first_goes_on_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bench.ears.choose.find_second", lambda: None)
    told = Outages()
    ear = with_second(None, told)
    failed = told.wait(Failed)
    assert failed.part == ROOM
    assert hears_yes(ear)
    ear.close()
    assert [type(one) for one in told.told] == [Failed], "told once, however often it is tried again"


def test_garbage_for_weights_is_told_once_and_a_whole_copy_is_taken(tmp_path: Path) -> None:
    whole = find_second()
    assert whole is not None
    shutil.copytree(whole, tmp_path / "second")
    with (tmp_path / "second" / "model.bin").open("r+b") as file:
        file.seek(5_000_000)
        file.write(b"damage")
    told = Outages()
    ear = with_second(tmp_path / "second", told)
    failed = told.wait(Failed)
    assert isinstance(failed, Failed)
    assert "model.bin" in failed.message
    assert hears_yes(ear)
    shutil.copy(whole / "model.bin", tmp_path / "second" / "model.bin")
    told.wait(Recovered)
    assert hears_yes(ear)
    assert ear.apart.second is not None
    ear.close()


def test_killed_it_is_begun_again() -> None:
    told = Outages()
    ear = with_second(None, told)
    assert ear.wait()
    process = ear.second.process
    assert process is not None
    process.kill()
    told.wait(Failed)
    assert hears_yes(ear)
    told.wait(Recovered)
    assert hears_yes(ear)
    assert ear.apart.second is not None
    ear.close()


@dataclass(frozen=True)
class Stopped:
    """Two recognizers of which the second's process is stopped, and what they told."""

    ear: TwoRecognizers
    told: Outages
    process: subprocess.Popen[bytes]


@pytest.fixture
def stopped(monkeypatch: pytest.MonkeyPatch) -> Iterator[Stopped]:
    """The second recognizer stopped once it was ready. Whoever waits for it for ten seconds is let go."""
    if not hasattr(signal, "SIGSTOP"):
        pytest.skip("processes cannot be stopped here")
    monkeypatch.setattr("bench.ears.choose.PATIENCE", 0.1)
    for module in (helper, client):
        monkeypatch.setattr(module, "READS_WITHIN", 0.5)
    told = Outages()
    ear = with_second(None, told)
    assert ear.wait()
    process = ear.second.process
    assert process is not None
    process.send_signal(signal.SIGSTOP)
    rescue = threading.Timer(10, process.kill)
    rescue.start()
    yield Stopped(ear, told, process)
    rescue.cancel()
    process.kill()
    ear.close()


def test_stopped_it_holds_nobody_up_and_is_begun_again(
    stopped: Stopped, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A process that is stopped reads nothing: its pipe fills, and whoever writes to it would stand still."""
    ear, told = stopped.ear, stopped.told
    began = time.monotonic()
    for _ in range(8):  # 32 kB a second of sound: more than any system's pipe holds
        ear.second.hear(np.zeros(4 * RATE, np.int16), YESNO)
    assert time.monotonic() - began < 1, "handing over sound takes no time"
    assert hears_yes(ear)
    failed = told.wait(Failed)
    assert isinstance(failed, Failed)
    assert "does not answer" in failed.message
    told.wait(Recovered)
    assert ear.second.process is not stopped.process
    monkeypatch.setattr(ear.second, "_patience", 30.0)
    assert hears_yes(ear)
    assert ear.apart.second is not None
    assert [type(one) for one in told.told] == [Failed, Recovered], "told once"


def test_stopped_with_room_in_its_pipe_it_is_missed_all_the_same(stopped: Stopped) -> None:
    """Not taken for a machine that is too slow, which would give it a long rest."""
    for _ in range(3):
        stopped.ear.second.found(stopped.ear.second.judge([["yes"]]))
        time.sleep(0.3)
    stopped.told.wait(Failed)
    stopped.told.wait(Recovered)


def test_a_machine_too_slow_for_it_is_told_once_and_one_recognizer_goes_on(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """No answer is waited for. Some are there all the same, so it is heard until most were late."""
    monkeypatch.setattr("bench.ears.choose.PATIENCE", 0.0001)
    told = Outages()
    ear = with_second(None, told)
    assert ear.wait()
    for _ in range(40):
        assert hears_yes(ear)
        if told.told:
            break
    failed = told.wait(Failed)
    assert isinstance(failed, Failed)
    assert "too slow" in failed.message
    assert not ear.second.ready
    assert hears_yes(ear)
    ear.close()
    assert len(told.told) == 1


def test_a_machine_that_was_only_busy_gets_it_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """Tried again after a rest, and said to work once it keeps up, not before."""
    monkeypatch.setattr("bench.ears.choose.PATIENCE", 0.0001)
    monkeypatch.setattr(client, "RESTS_S", (0.2,))
    told = Outages()
    ear = with_second(None, told)
    assert ear.wait()
    for _ in range(40):
        ear.second.found(ear.second.judge([["yes"]]))
        if told.told:
            break
    told.wait(Failed)
    monkeypatch.setattr(ear.second, "_patience", 30.0)
    for _ in range(100):
        if ear.second.ready:
            break
        time.sleep(0.1)
    assert len(told.told) == 1, "it listens again, and has not shown that it keeps up"
    for _ in range(8):
        assert hears_yes(ear)
    told.wait(Recovered)
    assert ear.second.ready
    ear.close()
