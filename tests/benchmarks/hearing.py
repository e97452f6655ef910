"""How well the ears hear: one table, for every recognizer there is.

    python -m tests.benchmarks.hearing [--ears vosk] [--model DIR ...] [--part 4] [--confusions]

Real people are those in `shared/speech` (Speech Commands, Free Spoken Digit Dataset, Asterisk prompts) whom the
model of the house was not trained on, in noises it was not trained on (`models/heldout.toml`), at 15 and 6 dB below
the speech. Synthetic voices, eight that were not trained on either, say whole measurements.

*right*: the best reading means what was said, however unsure. *taken*: and Bench would act on it without
asking again. *wrong taken*: Bench would act on another meaning (numbers are still read back). *sure and
wrong*: so, with a confidence of 0.9 or more.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from pathlib import Path

from bench.audio.samples import RATE, Samples
from bench.data.phrases import lexicon
from bench.ears.choose import recognizer
from bench.ears.recognizer import Recognizer
from bench.ears.whole import hear_whole
from bench.language.grammar import grammar_automaton
from bench.language.meaning import Expectation, Heard, Hypothesis, Kind, Meaning, typed
from bench.language.understand import understand
from tests.benchmarks.sounds import LEVELS, people, resident_megabytes, with_noise
from tests.ears.corpus import sound, voices

COMMANDS = (
    "back",
    "repeat",
    "change",
    "where_am_i",
    "what_can_i_say",
    "undo",
    "stop_listening",
    "louder",
    "quieter",
    "hush",
    "next",
)
COUNT = Expectation(Kind.COUNT, Fraction(0), Fraction(99), commands=COMMANDS)
YESNO = Expectation(Kind.YESNO, commands=COMMANDS)
LENGTH = Expectation(Kind.LENGTH, Fraction(0), Fraction(120), commands=COMMANDS)
DIGITS = frozenset(("zero", "oh", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"))
SURE = 0.9


@dataclass(frozen=True)
class Clip:
    """What was said, as words, and its sound."""

    words: str
    samples: Samples


@dataclass(frozen=True)
class Task:
    """Clips heard in one state."""

    name: str
    expectation: Expectation
    clips: Callable[[], list[Clip]]


@dataclass
class Score:
    """What came of one task at one noise level."""

    n: int = 0
    right: int = 0
    taken: int = 0
    wrong_taken: int = 0
    sure_wrong: int = 0
    sound: float = 0.0
    taken_seconds: float = 0.0
    confusions: Counter[tuple[str, str]] = field(default_factory=Counter)


def tasks() -> list[Task]:
    """Every test set, real people first."""
    return [
        Task("Speech Commands, yes/no and commands", YESNO, lambda: _meant("speech-commands", YESNO)),
        Task("Speech Commands, digits", COUNT, lambda: _meant("speech-commands", COUNT, DIGITS)),
        Task("FSDD, digits", COUNT, lambda: _meant("fsdd", COUNT, DIGITS, True)),
        Task("Asterisk, numbers", COUNT, lambda: _meant("asterisk-core-sounds-en", COUNT, None, True)),
        Task("unknown synthetic voices, lengths", LENGTH, _lengths),
    ]


def _meant(
    source: str, expectation: Expectation, words: frozenset[str] | None = None, share_alike: bool = False
) -> list[Clip]:
    """Clips whose words mean something in this state."""
    found = []
    for entry in people(source, share_alike):
        if words is not None and entry["text"] not in words:
            continue
        if understand(typed(entry["text"]), expectation, lexicon()).meaning is not None:
            found.append(Clip(entry["text"], sound(entry)))
    return found


def _lengths() -> list[Clip]:
    """Lengths up to eight feet in sixteenths, by synthetic voices that were not trained on."""
    return [Clip(words, samples) for words, samples in voices()]


def score(ear: Recognizer, task: Task, level: float | None, part: int) -> Score:
    """Every `part`th clip of a task at one noise level."""
    result = Score()
    for number, clip in enumerate(task.clips()[::part]):
        samples = with_noise(clip.samples, level, number)
        began = time.perf_counter()
        heard = hear_whole(ear, samples)
        result.taken_seconds += time.perf_counter() - began
        result.sound += len(samples) / RATE
        result.n += 1
        _count(result, clip, heard, task.expectation)
    return result


def _count(result: Score, clip: Clip, heard: Heard, expectation: Expectation) -> None:
    meant = _meaning(typed(clip.words), expectation)
    right = _meaning(_certain(heard), expectation) == meant
    understood = understand(heard, expectation, lexicon())
    result.right += right
    result.taken += understood.meaning == meant
    if understood.meaning is not None and understood.meaning != meant:
        result.wrong_taken += 1
        result.sure_wrong += understood.confidence >= SURE
    if not right:
        result.confusions[clip.words, heard.text or "-"] += 1


def _certain(heard: Heard) -> Heard:
    """The best reading alone, taken for certain."""
    return Heard(tuple(Hypothesis(one.words, 1.0) for one in heard.hypotheses[:1]), heard.seconds)


def _meaning(heard: Heard, expectation: Expectation) -> Meaning | None:
    return understand(heard, expectation, lexicon()).meaning


def footprint(name: str, model: Path | None) -> str:
    """Load time, grammar swap and memory, each in a process of its own."""
    code = (
        "from tests.benchmarks.hearing import measure_footprint; "
        f"measure_footprint({name!r}, {str(model) if model else None!r})"
    )
    return subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    ).stdout.strip()


def measure_footprint(name: str, model: str | None) -> None:
    """Print what `footprint` reports. Importing and reading the phrases come before the clock starts."""
    grammar_automaton(LENGTH, lexicon())
    recognizer(name, model).close()
    before = resident_megabytes()
    began = time.perf_counter()
    ear = recognizer(name, model)
    ear.expect(YESNO)
    loaded = time.perf_counter()
    ear.expect(LENGTH)
    built = time.perf_counter()
    ear.expect(YESNO)
    ear.expect(LENGTH)
    swapped = time.perf_counter()
    hear_whole(ear, sound(people("speech-commands")[0]))
    held = resident_megabytes()
    times = (loaded - began, built - loaded, (swapped - built) / 2)
    shown = " | ".join(f"{seconds * 1000:.0f} ms" for seconds in times)
    print(f"{ear.name} | {shown} | {held:.0f} MB ({held - before:+.0f})")


def rows(name: str, model: Path | None, part: int, confusions: bool) -> Iterator[str]:
    """The table's lines for one recognizer."""
    for task in tasks():
        ear = recognizer(name, model)
        ear.expect(task.expectation)
        for level in LEVELS:
            one = score(ear, task, level, part)
            if not one.n:
                continue
            share = [f"{100 * number / one.n:.1f}" for number in (one.right, one.taken, one.wrong_taken)]
            at = "clean" if level is None else f"{level:.0f} dB"
            speed = one.taken_seconds / one.sound
            numbers = f"{' | '.join(share)} | {one.sure_wrong} | {speed:.3f}"
            yield f"| {ear.name} | {task.name} | {at} | {one.n} | {numbers} |"
            if confusions:
                for (said, heard), times in one.confusions.most_common(8):
                    yield f"|  | *{said}* heard as *{heard}* | {at} | {times} |  |  |  |  |  |"
        ear.close()


def options(text: str | None) -> argparse.ArgumentParser:
    """The options that say which recognizers are compared, on how much."""
    parser = argparse.ArgumentParser(description=text, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--ears", nargs="+", default=["vosk"])
    parser.add_argument("--model", nargs="*", type=Path, default=[], help="more Vosk models to compare")
    parser.add_argument("--part", type=int, default=1, help="only every so many clips")
    return parser


def compared(args: argparse.Namespace) -> list[tuple[str, Path | None]]:
    """Names of ears, each with a model of its own or none."""
    return [*((name, None) for name in args.ears), *(("vosk", path) for path in args.model)]


def main() -> int:
    """Print the tables."""
    parser = options(__doc__)
    parser.add_argument("--confusions", action="store_true", help="list what was taken for what")
    args = parser.parse_args()
    chosen = compared(args)
    print(f"\nMeasured {date.today().isoformat()}; % of n unless a count.\n")
    print(
        "| ear | test | noise | n | right | taken | wrong taken | sure and wrong (count) | time per second |"
    )
    print("|---|---|---|---|---|---|---|---|---|")
    for name, model in chosen:
        for row in rows(name, model, args.part, args.confusions):
            print(row, flush=True)
    print("\n| ear | load | new grammar | known grammar | memory of the process (the ear's part) |")
    print("|---|---|---|---|---|")
    for name, model in chosen:
        print(f"| {footprint(name, model)} |", flush=True)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
