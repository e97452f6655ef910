"""How well the ears hear: one table, the first listener alone and both together, side by side in one run.

    python -m tests.benchmarks.hearing [--model DIR] [--second DIR] [--part 4] [--confusions]

Real people are those in `shared/speech` (Speech Commands, Free Spoken Digit Dataset, AN4, Asterisk prompts, ten-digit
numbers) whom no model was trained on, in noises no model was trained on (`models/heldout.toml`), at 15 and 6 dB below
the speech. Synthetic voices, eight that were not trained on either, say whole measurements, also at 0 dB.

*first*, *second*, *both*: the best reading of each means what was said, however unsure. *among*: the true one is among
the readings of either. *taken*: Bench would act on it without asking again. *wrong taken*: Bench would act on another
meaning (numbers are still read back). *sure and wrong*: so, with a confidence of 0.9 or more.

Numbers of several words (AN4: two to seven, close; ten digits: mostly not native, natural surroundings) are heard as
any number words (`bench hear --expect numbers`); counted are words left out, put in and mistaken.
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
from bench.ears.choose import EARS, Grammar, recognizer
from bench.ears.two_listeners import Apart, TwoListeners
from bench.ears.whole import hear_whole
from bench.language.grammar import grammar_automaton
from bench.language.meaning import Expectation, Heard, Hypothesis, Kind, Meaning, typed
from bench.language.numerals import WORDS as NUMBER_WORDS
from bench.language.numerals import number_words, plain_numerals, words_wrong
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
    first: int = 0
    second: int = 0
    right: int = 0
    among: int = 0
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
        Task("AN4, yes/no and commands", YESNO, lambda: _meant("an4", YESNO)),
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


def score(ear: TwoListeners, task: Task, level: float | None, part: int) -> Score:
    """Every `part`th clip of a task at one noise level."""
    result = Score()
    for number, clip in enumerate(task.clips()[::part]):
        samples = with_noise(clip.samples, level, number)
        began = time.perf_counter()
        heard = hear_whole(ear, samples)
        result.taken_seconds += time.perf_counter() - began
        result.sound += len(samples) / RATE
        _count(result, clip, heard, ear.apart, task.expectation)
    return result


def _count(result: Score, clip: Clip, heard: Heard, apart: Apart, expectation: Expectation) -> None:
    def means_it(words: tuple[str, ...]) -> bool:
        return _meaning(Heard((Hypothesis(words, 1.0),)), expectation) == meant

    meant = _meaning(typed(clip.words), expectation)
    first = [one.words for one in apart.first.hypotheses]
    second = [one.words for one in apart.second or ()]
    both = [one.words for one in heard.hypotheses]
    right = any(map(means_it, both[:1]))
    understood = understand(heard, expectation, lexicon())
    result.n += 1
    result.first += any(map(means_it, first[:1]))
    result.second += any(map(means_it, second[:1]))
    result.right += right
    result.among += any(map(means_it, {*first, *both}))
    result.taken += understood.meaning == meant
    if understood.meaning is not None and understood.meaning != meant:
        result.wrong_taken += 1
        result.sure_wrong += understood.confidence >= SURE
    if not right:
        result.confusions[clip.words, heard.text or "-"] += 1


def _meaning(heard: Heard, expectation: Expectation) -> Meaning | None:
    return understand(heard, expectation, lexicon()).meaning


@dataclass
class WrongWords:
    """Words of numbers, and how many of them went wrong."""

    clips: int = 0
    words: int = 0
    first: int = 0
    both: int = 0


def number_words_wrong(ear: TwoListeners, source: str, level: float | None, part: int) -> WrongWords:
    """Every `part`th of the numbers of several words in one source."""
    result = WrongWords()
    known = set(NUMBER_WORDS)
    spoken = [entry for entry in people(source) if set(entry["text"].split()) <= known]
    numbers = [entry for entry in spoken if len(entry["text"].split()) > 1]
    for at, entry in enumerate(numbers[::part]):
        said = plain_numerals(entry["text"].split())
        heard = hear_whole(ear, with_noise(sound(entry), level, at))
        result.clips += 1
        result.words += len(said)
        result.first += words_wrong(said, plain_numerals(ear.apart.first.text.split()))
        result.both += words_wrong(said, plain_numerals(heard.text.split()))
    return result


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


def rows(ear: TwoListeners, part: int, confusions: bool) -> Iterator[str]:
    """The table's lines."""
    for task in tasks():
        ear.expect(task.expectation)
        for level in (*LEVELS, 0.0) if "lengths" in task.name else LEVELS:
            one = score(ear, task, level, part)
            if not one.n:
                continue
            counts = (one.first, one.second, one.right, one.among, one.taken, one.wrong_taken)
            share = " | ".join(f"{100 * number / one.n:.1f}" for number in counts)
            speed = one.taken_seconds / one.sound
            yield f"| {task.name} | {_at(level)} | {one.n} | {share} | {one.sure_wrong} | {speed:.3f} |"
            if confusions:
                for (said, heard), times in one.confusions.most_common(8):
                    yield f"| *{said}* heard as *{heard}* | {_at(level)} | {times} |  |  |  |  |  |  |  |  |"


def _at(level: float | None) -> str:
    return "clean" if level is None else f"{level:.0f} dB"


def options(text: str | None) -> argparse.ArgumentParser:
    """The options that say with which models is measured, on how much."""
    parser = argparse.ArgumentParser(description=text, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--model", type=Path, help="another Vosk model for the first listener")
    parser.add_argument("--second", type=Path, help="another model for the second listener")
    parser.add_argument("--part", type=int, default=1, help="only every so many clips")
    return parser


def both_listeners(args: argparse.Namespace, grammar: Grammar | None = None) -> TwoListeners:
    """Both listeners with the models of the options."""
    ear = recognizer("auto", args.model, args.second, grammar=grammar)
    assert isinstance(ear, TwoListeners)
    return ear


def main() -> int:
    """Print the tables."""
    parser = options(__doc__)
    parser.add_argument("--confusions", action="store_true", help="list what was taken for what")
    args = parser.parse_args()
    print(f"\nMeasured {date.today().isoformat()}; % of n unless a count.\n")
    print(
        "| test | noise | n | first | second | both | among | taken | wrong taken | sure and wrong (count) "
        "| time per second |"
    )
    print("|---|---|---|---|---|---|---|---|---|---|---|")
    ear = both_listeners(args)
    for row in rows(ear, args.part, args.confusions):
        print(row, flush=True)
    ear.close()
    print("\n| numbers of several words | noise | clips | words | wrong, first, % | wrong, both, % |")
    print("|---|---|---|---|---|---|")
    ear = both_listeners(args, lambda _: number_words())
    ear.expect(COUNT)
    for source in ("an4", "alphanumeric-audio-dataset"):
        for level in LEVELS:
            one = number_words_wrong(ear, source, level, args.part)
            shares = " | ".join(f"{100 * wrong / max(one.words, 1):.1f}" for wrong in (one.first, one.both))
            print(f"| {source} | {_at(level)} | {one.clips} | {one.words} | {shares} |", flush=True)
    ear.close()
    print("\n| ear | load | new grammar | known grammar | memory of the process (the ear's part) |")
    print("|---|---|---|---|---|")
    for name in EARS:
        print(f"| {footprint(name, args.model)} |", flush=True)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
