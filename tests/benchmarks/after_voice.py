"""Who answers just after the assistant's voice is heard, and the assistant does not hear itself.

    python -m tests.benchmarks.after_voice [--ear auto] [--each 12] [--alone 60] [--late 0.05]

Sound is fed to the ears sample by sample: the last second of a prompt through a measured room (`shared/speech/rooms`),
as loud at the microphone as the person, then the answer, which begins so many seconds after the end of the prompt.
The ears are told that the voice has ended `late` seconds before its end reaches them: 5 to 90 ms through a virtual
sound system. Answers are digits and commands by people (Speech Commands) and lengths by synthetic voices, none of
them trained on, cut to where they begin to sound. "Misheard" is every answer whose best reading means something
else, one that was not heard at all included. `--alone` prompts are followed by nobody: what is heard then is the
assistant itself, or the room.
"""

from __future__ import annotations

import argparse
import threading
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.signal import fftconvolve

from bench.audio.recording import read_recording
from bench.audio.samples import RATE, Samples
from bench.data.files import shared
from bench.data.phrases import lexicon
from bench.ears.choose import EARS, recognizer
from bench.ears.ear_events import EarEvent, Utterance, VoiceStarted
from bench.ears.ears import Ears
from bench.ears.recognizer import Recognizer
from bench.language.meaning import Expectation, Heard, Hypothesis, Understanding, typed
from bench.language.understand import understand
from tests.benchmarks import states
from tests.benchmarks.hearing import Clip, tasks
from tests.benchmarks.sounds import synthetic

GAPS = (0.1, 0.2, 0.3, 0.5, 1.0)
"""Seconds from the end of the voice to the beginning of the answer."""
ROOMS = ("studio_live_room", "church")
PROMPTS = (
    *(
        "Which conduit?",
        "How high is the obstruction?",
        "Tape end to the center of the saddle?",
        "What trade size?",
    ),
    *("Mark twenty-six and a quarter.", "Bend thirty degrees, arrow on the mark.", "Is that right?", "Done?"),
    *("Seven and three eighths.", "Say yes or no.", "Which bend?", "Next: cut and ream, then the fit."),
)
VOICE = "flite:slt"
_LED = 1.0
_FOLLOWED = 1.6
_BLOCK = 320
_ROOM_TONE = 6
_LOUD = 1500.0
"""RMS of the speech's louder half, of 32768."""
_ANSWERS = ("Speech Commands, digits", "Speech Commands, commands", "unknown synthetic voices, lengths")
Wave: TypeAlias = NDArray[np.float64]
Prompt: TypeAlias = tuple[Wave, int]
"""Sound of the voice with what rings on, and the sample at which the voice itself ends."""


@dataclass(frozen=True)
class Scene:
    """Sound of one turn, and the sample at which the ears are told that the voice has ended."""

    sound: Samples
    opens: int


class Fed:
    """A microphone that gives scenes, one after the other, and opens the ears within each."""

    waits = False
    name = "scenes"

    def __init__(self) -> None:
        self.ears: Ears | None = None
        self._blocks: list[Samples | bool] = []
        self._idle = threading.Event()

    def open(self) -> None:
        """Nothing to open."""

    def close(self) -> None:
        """Nothing to close."""

    def play(self, scene: Scene) -> None:
        """All of a scene; returns when the ears have taken it."""
        self._idle.clear()
        before, after = scene.sound[: scene.opens], scene.sound[scene.opens :]
        self._blocks = [True, *_cut(before), False, *_cut(after)]
        self._idle.wait()

    def read(self, timeout: float) -> Samples | None:
        """The next 20 ms; an order to the ears is obeyed before the block after it."""
        while self._blocks:
            block = self._blocks.pop(0)
            if not isinstance(block, bool):
                return block
            assert self.ears is not None
            self.ears.deafen(block)
            return np.empty(0, np.int16)
        self._idle.set()
        time.sleep(0.005)
        return np.empty(0, np.int16)


def _cut(sound: Samples) -> list[Samples]:
    return [sound[at : at + _BLOCK] for at in range(0, len(sound), _BLOCK)]


def begun(samples: Samples) -> Samples:
    """A recording from where it begins to sound, as loud as the voice."""
    loud = np.flatnonzero(np.abs(samples.astype(np.int32)) > np.abs(samples.astype(np.int32)).max() // 25)
    return samples[max(0, loud[0] - RATE // 100) :]


def as_loud(sound: Wave) -> Wave:
    """The speech at the one loudness of all."""
    frames = sound[: len(sound) // 320 * 320].reshape(-1, 320).astype(np.float64)
    power = np.sort((frames**2).mean(axis=1))
    return sound * (_LOUD / max(float(np.sqrt(power[len(power) // 2 :].mean())), 1.0))


def rooms() -> Iterator[Wave]:
    """Impulse responses from the direct sound on."""
    for name in ROOMS:
        response = read_recording(shared() / "speech" / "rooms" / f"{name}.flac").astype(np.float64)
        response = response[int(np.abs(response).argmax()) :]
        yield response / np.sqrt((response**2).sum())


def prompts() -> list[Prompt]:
    """The end of each prompt in each room with what rings after it, and where its dry sound ends."""
    found = []
    for room in rooms():
        for words in PROMPTS:
            dry = synthetic(words, VOICE).astype(np.float64)
            loud = np.flatnonzero(np.abs(dry) > np.abs(dry).max() * 0.01)
            dry = dry[: loud[-1] + RATE // 50]
            wet = as_loud(fftconvolve(dry, room))
            start = max(0, len(dry) - round(_LED * RATE))
            found.append((wet[start:], len(dry) - start))
    return found


def scene(prompt: Prompt, answer: Samples | None, gap: float, late: float, seed: int) -> Scene:
    """The end of a prompt, and an answer `gap` seconds after it, in the quiet of a room."""
    voice, ended = prompt
    spoken = np.zeros(0) if answer is None else as_loud(begun(answer).astype(np.float64))
    at = ended + round(gap * RATE)
    whole = np.random.default_rng(seed).uniform(
        -_ROOM_TONE, _ROOM_TONE, at + len(spoken) + round(_FOLLOWED * RATE)
    )
    voice = voice[: len(whole)]
    whole[: len(voice)] += voice
    whole[at : at + len(spoken)] += spoken
    sound = np.clip(np.round(whole), -32_768, 32_767).astype(np.int16)
    return Scene(sound, max(0, ended - round(late * RATE)))


class Listener:
    """The ears with scenes in place of a microphone."""

    def __init__(self, ear: Recognizer) -> None:
        self.told: list[EarEvent] = []
        self.expectation = states.count()
        self._source = Fed()
        self.ears = Ears(ear, self._source, self.told.append, self._understand)
        self._source.ears = self.ears
        self.ears.expect(self.expectation)
        self.ears.start()

    def expect(self, expectation: Expectation) -> None:
        """Only this can be said from now on."""
        self.expectation = expectation
        self.ears.expect(expectation)

    def hear(self, one: Scene) -> list[EarEvent]:
        """What the ears tell of a scene."""
        self.told.clear()
        self._source.play(one)
        return list(self.told)

    def _understand(self, heard: Heard) -> Understanding:
        return understand(heard, self.expectation, lexicon())


@cache
def answers(each: int) -> list[tuple[Expectation, list[Clip]]]:
    """Digits, commands and lengths, so many of each, evenly out of all."""
    found = []
    for task in tasks():
        if task.name in _ANSWERS:
            clips = task.clips()
            found.append((task.expectation, clips[:: max(1, len(clips) // each)][:each]))
    return found


def right(told: Sequence[EarEvent], clip: Clip, expectation: Expectation) -> bool:
    """Whether one utterance was heard, and its best reading means what was said."""
    words = [heard.hypotheses[0].words for heard in utterances(told) if heard.hypotheses]
    if len(words) != 1:
        return False
    best = Heard((Hypothesis(words[0], 1.0),))
    meant = understand(typed(clip.words), expectation, lexicon()).meaning
    return understand(best, expectation, lexicon()).meaning == meant


def utterances(told: Sequence[EarEvent]) -> list[Heard]:
    """What was heard."""
    return [event.heard for event in told if isinstance(event, Utterance)]


def misheard(listener: Listener, voices: Sequence[Prompt], each: int, gap: float, late: float) -> str:
    """Answers so long after the end of the voice: how many are misheard, and as what."""
    wrong, count = [], 0
    for expectation, clips in answers(each):
        listener.expect(expectation)
        for number, clip in enumerate(clips):
            prompt = voices[number * 5 % len(PROMPTS) + number % 2 * len(PROMPTS)]
            told = listener.hear(scene(prompt, clip.samples, gap, late, number))
            count += 1
            if not right(told, clip, expectation):
                heard = " | ".join(one.text or "-" for one in utterances(told))
                wrong.append(f"{clip.words}: {heard or 'nothing'}")
    listed = "".join(f"\n    {one}" for one in wrong)
    return f"late {late:.2f} s, answer after {gap:.2f} s: misheard {len(wrong)} of {count}{listed}"


def unanswered(listener: Listener, voices: Sequence[Prompt], count: int, late: float) -> str:
    """Prompts that nobody answers: how often something was heard, and acted on."""
    begun, acted, seconds = 0, 0, 0.0
    for expectation, _ in answers(1):
        listener.expect(expectation)
        for number in range(count):
            one = scene(voices[number % len(voices)], None, 0.5, late, number)
            told = listener.hear(one)
            seconds += len(one.sound) / RATE
            begun += any(isinstance(event, VoiceStarted) for event in told)
            meant = (understand(heard, expectation, lexicon()).meaning for heard in utterances(told))
            acted += any(one is not None for one in meant)
    return f"late {late:.2f} s, no answer, {seconds / 60:.1f} minutes: {begun} begun, {acted} acted on"


def main() -> int:
    """Print how many were misheard, and what the assistant heard of itself."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--ear", choices=EARS, default=EARS[0])
    parser.add_argument("--each", type=int, default=12, help="answers of each kind")
    parser.add_argument("--alone", type=int, default=48, help="prompts without an answer, in each state")
    parser.add_argument("--late", type=float, nargs="+", default=[0.05], help="seconds")
    parser.add_argument("--gaps", type=float, nargs="+", default=GAPS, help="seconds")
    args = parser.parse_args()
    voices, listener = prompts(), Listener(recognizer(args.ear))
    for late in args.late:
        for gap in args.gaps:
            print(misheard(listener, voices, args.each, gap, late), flush=True)
        print(unanswered(listener, voices, args.alone, late), flush=True)
    listener.ears.close()
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
