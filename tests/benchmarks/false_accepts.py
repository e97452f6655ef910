"""How often talk, reading, radio-like speech and tools are taken for an answer or a command, an hour.

    python -m tests.benchmarks.false_accepts [--ears vosk auto] [--model DIR] [--second DIR] [--part 4] [--hours 3]

The sound goes through the whole of the ears: voice detector, end of speech, recognizer, understanding. Nothing
in it is meant for the assistant: meetings (AMI), telephone calls (WUW II), books (LibriSpeech, LJ Speech), other
assistants' wake words. It is looped with the noises of `shared/speech/noise`, and the noises are played alone.
A false accept is an utterance on which Bench would act. Numbers would still be read back.
"""

from __future__ import annotations

import queue
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from bench.audio.samples import RATE, Samples
from bench.audio.source import RecordingSource
from bench.data.phrases import lexicon
from bench.ears.choose import EARS, recognizer
from bench.ears.ear_events import EarEvent, Ended, Utterance
from bench.ears.ears import Ears
from bench.ears.recognizer import Recognizer
from bench.language.meaning import Expectation, Heard, Kind, Trouble
from bench.language.understand import understand
from tests.benchmarks.hearing import COMMANDS, LENGTH, YESNO, options
from tests.benchmarks.sounds import LEVELS, noises, training, with_noise
from tests.ears.corpus import Entry, entries, sound

STATES = {
    "listening for a length": LENGTH,
    "listening for yes or no": YESNO,
    "listening for a command": Expectation(Kind.COMMAND, commands=COMMANDS),
    "paused": Expectation(Kind.COMMAND, commands=COMMANDS, paused=True),
}
TALK = ("ami-meeting-corpus", "librispeech", "ljspeech", "wake-word-benchmark")
GAP = np.zeros(RATE, np.int16)


def tracks(part: int, seed: int = 0) -> Iterator[tuple[str, Samples]]:
    """Names and sounds of what is played: each kind of speech at each noise level, then the noise alone.

    Another `seed` mixes other noises into the speech.
    """
    plain = entries(_held_out)
    calls = entries(lambda entry: entry["source"] == "wuw-corpus-ii", share_alike=True)
    clips = [sound(entry) for entry in [*plain, *calls][::part]]
    for level in LEVELS:
        pieces = [with_noise(clip, level, seed + number) for number, clip in enumerate(clips)]
        at = "clean" if level is None else f"{level:.0f} dB"
        yield f"talk, {at}", np.concatenate([one for piece in pieces for one in (piece, GAP)])
    yield (
        "tools and engines alone",
        np.concatenate([np.resize(noise, 20 * RATE) for noise in noises()[::part]]),
    )


def _held_out(entry: Entry) -> bool:
    """Talk by people no model was trained on."""
    trained = training()
    heard_before = entry["speaker"] in trained["speakers"] or entry["path"] in trained["talk"]
    return entry["source"] in TALK and not heard_before


class Tape(Recognizer):
    """A recognizer that understands nothing and keeps what it is given: one piece for each utterance."""

    name = "tape"

    def __init__(self) -> None:
        self.kept: list[Samples] = []
        self._blocks: list[Samples] = []

    def expect(self, _: Expectation) -> None:
        self._blocks = []

    def accept(self, block: Samples) -> None:
        self._blocks.append(block)

    def partial(self) -> Heard:
        return Heard(())

    def finish(self) -> Heard:
        self.kept.append(np.concatenate(self._blocks))
        self._blocks = []
        return Heard(())

    def close(self) -> None:
        pass


def segments(track: Samples) -> list[Samples]:
    """The utterances that the ears cut a track into."""
    tape = Tape()
    _utterances(tape, STATES["listening for a command"], track)
    return tape.kept


def accepted(ear: Recognizer, expectation: Expectation, track: Samples) -> tuple[Counter[str], int, int]:
    """What Bench would act on, by kind and words; how often it would ask again; how many utterances in all."""
    found: Counter[str] = Counter()
    asked = 0
    heard_all = _utterances(ear, expectation, track)
    for heard in heard_all:
        understood = understand(heard, expectation, lexicon())
        if understood.meaning is not None:
            kind = "numbers" if understood.meaning.kind is Kind.LENGTH else "commands"
            found[f"{kind}: {heard.text} ({understood.confidence:.2f})"] += 1
        asked += understood.trouble not in (None, Trouble.NOTHING)
    return found, asked, len(heard_all)


def _utterances(ear: Recognizer, expectation: Expectation, track: Samples) -> list[Heard]:
    told: queue.Queue[EarEvent] = queue.Queue()
    source = RecordingSource(track, paced=False)
    ears = Ears(ear, source, told.put, lambda heard: understand(heard, expectation, lexicon()))
    ears.expect(expectation)
    ears.start()
    heard = []
    while not isinstance(event := told.get(), Ended):
        if isinstance(event, Utterance):
            heard.append(event.heard)
    ears.close()
    return heard


def rounds(part: int, hours: float) -> Iterator[tuple[str, Samples]]:
    """The tracks, once; or again and again with other noises until so many hours have been played."""
    seconds, seed = 0.0, 0
    while True:
        for what, track in tracks(part, seed):
            if seed and seconds >= 3600 * hours:
                return
            seconds += len(track) / RATE
            yield what, track
        seed += 1000


@dataclass
class Tally:
    """What one state came to in one kind of sound."""

    minutes: float = 0.0
    utterances: int = 0
    asked: int = 0
    found: Counter[str] = field(default_factory=Counter)

    def hourly(self, kind: str) -> float:
        """False accepts of a kind in an hour."""
        times = sum(times for words, times in self.found.items() if words.startswith(kind))
        return 60 * times / self.minutes


def main() -> int:
    """Print the table."""
    parser = options(__doc__)
    parser.add_argument("--ears", nargs="+", choices=EARS, default=list(EARS), help="which are compared")
    parser.add_argument("--hours", type=float, default=0.0, help="hours of sound altogether, for each ear")
    parser.add_argument("--words", action="store_true", help="list what was taken")
    args = parser.parse_args()
    print(f"\nMeasured {date.today().isoformat()}; false accepts and questions are an hour.\n")
    print("| ear | state | sound | minutes | utterances | false numbers | false commands | asks again |")
    print("|---|---|---|---|---|---|---|---|")
    for name in args.ears:
        for state, expectation in STATES.items():
            tallies: dict[str, Tally] = {}
            for what, track in rounds(args.part, args.hours / len(STATES)):
                ear = recognizer(name, args.model, args.second)
                found, asked, utterances = accepted(ear, expectation, track)
                tally = tallies.setdefault(what, Tally())
                tally.minutes += len(track) / RATE / 60
                tally.utterances += utterances
                tally.asked += asked
                tally.found += found
            for what, one in tallies.items():
                rates = " | ".join(f"{one.hourly(kind):.1f}" for kind in ("numbers", "commands"))
                again = 60 * one.asked / one.minutes
                print(
                    f"| {name} | {state} | {what} | {one.minutes:.1f} | {one.utterances} | {rates} | {again:.1f} |"
                )
                if args.words:
                    print(f"|  | {dict(one.found)} |  |  |  |  |  |  |", flush=True)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
