"""What tuning the ears to one person gains: chosen on half of a person's clips, counted on the other half.

    python -m tests.benchmarks.adapting [--noise 10] [--splits 20]

Real people none of whose recordings were trained on, those with eight clips or more that mean something to
Bench: Speech Commands, Free Spoken Digit Dataset, Asterisk prompts. Then synthetic voices, marked so, for a
check that it does no harm. The halves are drawn anew for every split; counts are means over the splits.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from collections.abc import Iterator, Sequence
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from bench.data.phrases import lexicon
from bench.ears.adapt import Chances, Read, chosen, heard_at_all
from bench.ears.choose import untuned
from bench.ears.tuning import FACTORS
from bench.language.meaning import Expectation, Kind, typed
from bench.language.understand import understand
from tests.benchmarks.hearing import COMMANDS, COUNT, YESNO
from tests.benchmarks.sounds import people, synthetic, with_noise
from tests.ears.corpus import sound

LENGTH = Expectation(Kind.LENGTH, Fraction(0), Fraction(120), commands=COMMANDS)
SYNTHETIC = (
    "espeak:en-us",
    "espeak:en-us+f3",
    "espeak:en-us+m7",
    "espeak:en-us+croak",
    "espeak:en-us+klatt4",
)
PHRASES = (
    "thirty two and three eighths",
    "fifteen",
    "fifty",
    "eleven sixteenths",
    "four foot two and a half",
    "an eighth",
    "twelve and a quarter",
    "seventeen",
    "seventy",
    "eighteen and a sixteenth",
    "nine and five eighths",
    "sixty three",
)
_FEWEST = 8
_AS_IS = FACTORS.index(1.0)


def real_people(noise: float | None) -> dict[str, list[Read]]:
    """Clips by speaker."""
    sources = (("speech-commands", False), ("fsdd", True), ("asterisk-core-sounds-en", True))
    found: dict[str, list[Read]] = defaultdict(list)
    for number, entry in enumerate(one for name, alike in sources for one in people(name, alike)):
        for expectation in (COUNT, YESNO):
            meaning = understand(typed(entry["text"]), expectation, lexicon()).meaning
            if meaning is not None:
                found[entry["speaker"]].append(
                    Read(with_noise(sound(entry), noise, number), expectation, meaning)
                )
                break
    return {name: read for name, read in found.items() if len(read) >= _FEWEST}


def synthetic_people(noise: float | None) -> dict[str, list[Read]]:
    """Voices of eSpeak NG, low and high."""
    found: dict[str, list[Read]] = defaultdict(list)
    for voice in SYNTHETIC:
        for number, words in enumerate(PHRASES):
            meaning = understand(typed(words), LENGTH, lexicon()).meaning
            assert meaning is not None
            samples = with_noise(synthetic(words, voice), noise, number)
            found[f"{voice} (synthetic)"].append(Read(samples, LENGTH, meaning))
    return found


def split(chances: Chances, right: NDArray[np.bool_], splits: int) -> tuple[float, float, float]:
    """Mean factor chosen on one half; share right in the other half as it is, and with the factor."""
    rng = np.random.default_rng(0)
    rows: list[Sequence[float]] = []
    for _ in range(splits):
        order = rng.permutation(len(right))
        learn, check = order[: len(order) // 2], order[len(order) // 2 :]
        column = chosen(chances[learn])
        rows.append((FACTORS[column], right[check, _AS_IS].mean(), right[check, column].mean()))
    factor, before, after = np.mean(rows, axis=0)
    return float(factor), float(before), float(after)


def table(noise: float | None, splits: int) -> Iterator[str]:
    """The table's lines."""
    ear = untuned("vosk")
    yield "| person | n | right as it is, by factor | mean factor | other half before | after |"
    yield "|---|---|---|---|---|---|"
    for name, read in {**real_people(noise), **synthetic_people(noise)}.items():
        chances, right = heard_at_all(ear, read)
        factor, before, after = split(chances, right, splits)
        counts = " ".join(map(str, right.sum(axis=0)))
        yield f"| {name} | {len(read)} | {counts} | {factor:.3f} | {before:.1%} | {after:.1%} |"
    ear.close()


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--noise", type=float, help="signal-to-noise ratio in decibels")
    parser.add_argument("--splits", type=int, default=20)
    args = parser.parse_args()
    print(f"factors: {' '.join(map(str, FACTORS))}")
    for row in table(args.noise, args.splits):
        print(row, flush=True)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
