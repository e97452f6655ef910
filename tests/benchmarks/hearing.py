"""Recognition accuracy: one table with the first recognizer alone and both together, from one run.

    python -m tests.benchmarks.hearing [--model DIR] [--second DIR] [--part 4] [--confusions]
    python -m tests.benchmarks.hearing --slice 1/4 --out one.json     a share of it; 2/4, 3/4, 4/4 elsewhere
    python -m tests.benchmarks.hearing --merge one.json two.json three.json four.json

Real people are those in `shared/speech` (Speech Commands, Free Spoken Digit Dataset, AN4, Asterisk prompts, ten-digit
numbers) whom no model was trained on, in noises no model was trained on (`models/heldout.toml`), at 15 and 6 dB below
the speech. Synthetic voices, eight that were not trained on either, say whole measurements, also at 0 dB. What can be
said is what the dialogue lets be said at that moment (`tests.benchmarks.states`), orders in one breath included.

Numbers of several words (AN4: two to seven, close; ten digits: mostly not native, natural surroundings) are heard as
any number words (`bench hear --expect numbers`); counted are words left out, put in and mistaken.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date

from bench.audio.samples import RATE, Samples
from bench.data.phrases import lexicon
from bench.ears.two_recognizers import TwoRecognizers
from bench.ears.whole import hear_whole
from bench.language.meaning import Expectation, Heard, Hypothesis, Kind, Meaning, typed
from bench.language.numerals import WORDS as NUMBER_WORDS
from bench.language.numerals import number_words, plain_numerals, words_wrong
from bench.language.understand import understand
from tests.benchmarks import states
from tests.benchmarks.hearing_table import confusions, table
from tests.benchmarks.parts import Share, both_recognizers, load, options, save, share
from tests.benchmarks.records import Outcome, Trial
from tests.benchmarks.sounds import LEVELS, people, with_noise
from tests.ears.corpus import sound, voices

DIGITS = frozenset(("zero", "oh", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"))
SEVERAL = {"an4": "AN4, numbers of several words", "alphanumeric-audio-dataset": "ten-digit numbers"}
_NUMBERS = (Kind.LENGTH, Kind.ANGLE, Kind.COUNT, Kind.ORDER)


@dataclass(frozen=True)
class Clip:
    """What was said, as words, and its sound."""

    words: str
    samples: Samples


@dataclass(frozen=True)
class Task:
    """Clips heard in one state, at some levels of noise."""

    name: str
    expectation: Expectation
    clips: Callable[[], list[Clip]]
    levels: tuple[float | None, ...] = LEVELS


def tasks() -> list[Task]:
    """Every test set, real people first."""
    count, yes_or_no = states.count(), states.yes_or_no()
    return [
        Task("Speech Commands, digits", count, lambda: _meant("speech-commands", count, DIGITS)),
        Task("FSDD, digits", count, lambda: _meant("fsdd", count, DIGITS, True)),
        Task("Speech Commands, commands", yes_or_no, lambda: _meant("speech-commands", yes_or_no)),
        Task("AN4, commands", yes_or_no, lambda: _meant("an4", yes_or_no)),
        Task("Asterisk, numbers", count, lambda: _meant("asterisk-core-sounds-en", count, None, True)),
        Task("unknown synthetic voices, lengths", states.any_length(), _lengths, (*LEVELS, 0.0)),
    ]


def _meant(
    source: str, expectation: Expectation, words: frozenset[str] | None = None, share_alike: bool = False
) -> list[Clip]:
    """Clips whose words mean something in this state."""
    found = []
    for entry in people(source, share_alike):
        if words is not None and entry["text"] not in words:
            continue
        if _meaning(typed(entry["text"]), expectation) is not None:
            found.append(Clip(entry["text"], sound(entry)))
    return found


def _lengths() -> list[Clip]:
    """Lengths up to eight feet in sixteenths, by synthetic voices that were not trained on."""
    return [Clip(words, samples) for words, samples in voices()]


def single(ear: TwoRecognizers, one: Share) -> Iterator[Trial]:
    """Every answer of one share, heard in its state."""
    for task in tasks():
        ear.expect(task.expectation)
        for number, clip in one.taken(task.clips()):
            for level in task.levels:
                yield trial(ear, task, number, clip, level)


def trial(ear: TwoRecognizers, task: Task, number: int, clip: Clip, level: float | None) -> Trial:
    """What the ears, told of the task's state, make of one clip at one level of noise."""
    meant = _meaning(typed(clip.words), task.expectation)

    def means_it(words: tuple[str, ...]) -> bool:
        return _meaning(Heard((Hypothesis(words, 1.0),)), task.expectation) == meant

    def outcome(heard: Heard) -> Outcome:
        understood = understand(heard, task.expectation, lexicon())
        read = [means_it(one.words) for one in heard.hypotheses]
        acted = understood.meaning
        return Outcome(
            text=heard.text,
            right=any(read[:1]),
            among=any(read),
            taken=acted == meant,
            wrong=acted is not None and acted != meant,
            number=acted is not None and acted.kind in _NUMBERS,
            confidence=understood.confidence,
        )

    samples = with_noise(clip.samples, level, number)
    began = time.perf_counter()
    heard = hear_whole(ear, samples)
    took = time.perf_counter() - began
    second = [means_it(one.words) for one in ear.apart.second or ()]
    return Trial(
        what=task.name,
        noise=level,
        number=number,
        said=clip.words,
        first=outcome(ear.apart.first),
        both=outcome(heard),
        second_right=any(second[:1]),
        second_among=any(second),
        alone=ear.apart.alone,
        joint=list(ear.apart.evidence.features),
        seconds=len(samples) / RATE,
        took=took,
    )


def several(ear: TwoRecognizers, one: Share) -> Iterator[Trial]:
    """The numbers of several words of one share."""
    known = set(NUMBER_WORDS)
    for source, name in SEVERAL.items():
        spoken = [entry for entry in people(source) if set(entry["text"].split()) <= known]
        numbers = [entry for entry in spoken if len(entry["text"].split()) > 1]
        for number, entry in one.taken(numbers):
            said = plain_numerals(entry["text"].split())
            for level in LEVELS:
                heard = hear_whole(ear, with_noise(sound(entry), level, number))
                texts = (ear.apart.first.text, heard.text)
                first, both = (words_wrong(said, plain_numerals(text.split())) for text in texts)
                yield Trial(
                    name, level, number, entry["text"], Outcome(texts[0]), Outcome(texts[1]),
                    words=len(said), words_wrong=(first, both),
                )  # fmt: skip


def _meaning(heard: Heard, expectation: Expectation) -> Meaning | None:
    return understand(heard, expectation, lexicon()).meaning


def measured(args: argparse.Namespace) -> list[Trial]:
    """One share of all there is."""
    ear = both_recognizers(args)
    trials = list(single(ear, share(args)))
    ear.close()
    ear = both_recognizers(args, lambda _: number_words())
    ear.expect(states.count())
    trials += several(ear, share(args))
    ear.close()
    return trials


STUDY = "hearing"


def main() -> int:
    """Measure or put together; write the results or print the tables."""
    parser = options(__doc__)
    parser.add_argument("--confusions", action="store_true", help="list what was taken for what")
    args = parser.parse_args()
    trials = load(STUDY, args.merge, Trial) if args.merge else measured(args)
    if args.out:
        save(STUDY, args, trials)
        return 0
    print(f"\n{date.today().isoformat()}\n")
    for line in table(trials):
        print(line)
    if args.confusions:
        print()
        for line in confusions(trials):
            print(line)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
