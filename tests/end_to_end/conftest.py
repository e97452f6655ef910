"""The assistant as a program of its own, and a person who talks with it through a virtual sound system."""

from __future__ import annotations

import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from bench.memory.store import Store
from tests.audio_rig import RATE, AudioRig, Recording, Samples
from tests.benchmarks.sounds import synthetic, with_noise

QUIET_S = 0.7
"""Silence of the loudspeaker after which the person takes the assistant to have finished."""

ANSWERS_WITHIN_S = 12.0
LEVEL = 200
WORDS_PER_MINUTE = 240
"""The assistant's rate, as somebody sets it who knows the work."""


@dataclass(frozen=True)
class Turn:
    """One thing the assistant said: what it printed, and what was recorded from the loudspeaker."""

    printed: str
    sound: Samples


class Assistant:
    """`bench --plain` on the rig. What it prints stands for its screen; its voice is recorded throughout.

    With `snr` the person speaks in noise, so many decibels below the speech.
    """

    def __init__(self, rig: AudioRig, data: Path, *options: str, snr: float | None = None) -> None:
        self._rig = rig
        self._data = data
        self._options = options
        self._snr = snr
        self._said = 0
        self._lines: list[str] = []
        self._process = self._started()

    def say(self, words: str, voice: str = "flite:rms") -> None:
        """The person says this into the microphone."""
        self._said += 1
        self._rig.play(with_noise(synthetic(words, voice), self._snr, self._said), RATE)

    def turns_after(self, seen: int) -> str:
        """What was printed after the first `seen` lines."""
        return "\n".join(self._lines[seen:])

    @property
    def seen(self) -> int:
        """Lines printed so far."""
        return len(self._lines)

    def crash(self) -> None:
        """Kill it at once, and start it again on the same data."""
        self._process.send_signal(signal.SIGKILL)
        self._process.wait()
        self._process = self._started()

    def finished(self, within: float) -> int:
        """Wait for it to end by itself; its exit code. TimeoutExpired."""
        return self._process.wait(within)

    def close(self) -> None:
        """End it if it still runs."""
        if self._process.poll() is None:
            self._process.kill()
            self._process.wait()

    def _started(self) -> subprocess.Popen[str]:
        command = [sys.executable, "-m", "bench", "--plain", "--data", str(self._data), *self._options]
        process = subprocess.Popen(
            command,
            env=self._rig.environment(),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        threading.Thread(target=self._read, args=(process,), daemon=True).start()
        return process

    def _read(self, process: subprocess.Popen[str]) -> None:
        assert process.stdout is not None
        for line in process.stdout:
            self._lines.append(line.rstrip("\n"))


class Conversation:
    """Takes turns with the assistant: listens until it has finished, then speaks."""

    def __init__(self, assistant: Assistant, record: Recording) -> None:
        self.assistant = assistant
        self.turns: list[Turn] = []
        self.transcript: list[str] = []
        self.utterances = 0
        self._record = record
        self._heard_to = 0.0
        self._seen = 0

    def listen(self) -> Turn:
        """The next thing the assistant says, listened to until it has finished. TimeoutError if nothing."""
        start = self._record.wait_for_sound(LEVEL, self._heard_to, ANSWERS_WITHIN_S)
        end = self._silent_from(start)
        printed, self._seen = self.assistant.turns_after(self._seen), self.assistant.seen
        begin = max(0, round((start - 0.2) * RATE))
        self._heard_to = end + 0.05
        turn = Turn(printed, np.array(self._record.samples[begin : round((end + 0.2) * RATE)]))
        self.turns.append(turn)
        self.transcript.append(printed)
        return turn

    def say(self, words: str) -> Turn:
        """Say this and listen to the reply; said again, as a person would, when nothing comes back."""
        for _ in range(3):
            self.utterances += 1
            self.transcript.append(f"    person: {words}")
            self.assistant.say(words)
            try:
                return self.listen()
            except TimeoutError:
                continue
        raise AssertionError(f"no reply to {words!r} after {[turn.printed for turn in self.turns[-2:]]}")

    def ask(self, words: str, value: str) -> Turn:
        """Say this until the reply holds `value`: yes or no to a doubt, put right when misheard."""
        turn = self.say(words)
        for _ in range(6):
            if re.search("did you say", turn.printed, re.IGNORECASE):
                turn = self.say("yes" if any(_holds(turn.printed, it) for it in (value, words)) else "no")
            elif _holds(turn.printed, value):
                return turn
            elif "again" in turn.printed.lower():
                turn = self.say(words)
            else:
                turn = self.say(f"no, {words}")
        if _holds(turn.printed, value):
            return turn
        raise AssertionError(f"{words!r} was never read back as {value!r}: {turn.printed!r}")

    def order(self, words: str, value: str) -> Turn:
        """Give a command that leads to `value`; after another reply have it repeated, or give it again."""
        turn = self.say(words)
        for again in ("repeat", words, "repeat", words, "repeat"):
            if _holds(turn.printed, value):
                return turn
            doubted = re.search("did you say", turn.printed, re.IGNORECASE)
            turn = self.say(("yes" if _holds(turn.printed, words) else "no") if doubted else again)
        if _holds(turn.printed, value):
            return turn
        said = [turn.printed for turn in self.turns[-6:]]
        raise AssertionError(f"{words!r} never led to {value!r}: {said}")

    def _silent_from(self, start: float) -> float:
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            # Rounding may leave out the very sample that was loud, the only one so far.
            heard = self._record.samples[int(start * RATE) :]
            loud = np.flatnonzero(np.abs(heard.astype(np.int32)) > LEVEL)
            end = (float(loud[-1]) + 1) / RATE if len(loud) else 0.0
            if len(heard) / RATE - end >= QUIET_S:
                return start + end
            time.sleep(0.03)
        raise TimeoutError("the assistant does not stop speaking")


def _holds(printed: str, words: str) -> bool:
    """Whether the words are in what was printed, whatever the hyphens and blanks."""
    return re.sub(r"[\W_]", "", words.lower()) in re.sub(r"[\W_]", "", printed.lower())


@pytest.fixture
def conversation(audio_rig: AudioRig, tmp_path: Path) -> Iterator[Conversation]:
    """A conversation with an assistant that remembers nothing but how fast to speak."""
    store = Store(tmp_path)
    store.keep({"words_per_minute": WORDS_PER_MINUTE})
    store.close()
    with audio_rig.recording() as record:
        assistant = Assistant(audio_rig, tmp_path, "--voice", "flite slt")
        talk = Conversation(assistant, record)
        yield talk
        assistant.close()
        print("\n".join(talk.transcript))  # shown by pytest when the test fails
