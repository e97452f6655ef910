"""Measures accuracy on held-out people and voices: `python -m models.whisper.measure models/second`

Each set is measured clean and at 15, 6 and 0 dB in held-out noises. Digits, commands and lengths are searched among all
possible ones. Strings of numbers are transcribed freely, and the digit error rate is reported.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from bench.language.numbers import ONES, TEENS, TENS, cardinal
from models.corpus import Clip, plain
from models.whisper import sets
from models.whisper.search import Decoder, Tree, search
from models.whisper.text import written
from models.whisper.transcriber import Transcriber
from models.whisper.weights import as_float, read

Words = tuple[str, ...]
WINDOW = 300
"""Minimum frames of a window."""
FIRST = 8
"""Size of the n-best list in which the correct hypothesis is looked for."""


@dataclass(frozen=True)
class Test:
    """Clips and the sentences to search. Without sentences the clips are transcribed freely."""

    name: str
    clips: Sequence[Clip]
    choices: Callable[[], Sequence[Words]] | None = None


def tests() -> Iterator[Test]:
    """All test sets."""
    yield Test("digits, Speech Commands", sets.digits("speech-commands"), lambda: _alone(sets.DIGITS))
    yield Test("digits, FSDD", sets.digits("fsdd"), lambda: _alone(sets.DIGITS))
    yield Test("commands, Speech Commands", sets.commands(), lambda: _alone(sets.COMMANDS))
    yield Test("commands, AN4", sets.short_words(), lambda: _alone(sets.SHORT))
    yield Test("connected numbers, AN4", sets.connected())
    yield Test("long numbers", sets.long_numbers())
    yield Test("lengths", sets.lengths(), lengths)


def _alone(words: Sequence[str]) -> list[Words]:
    return [(word,) for word in words]


@cache
def lengths() -> tuple[Words, ...]:
    """All lengths up to a hundred inches in sixteenths, in their usual wording, with and without the unit."""
    found = []
    for sixteenths in range(1, 1600):
        whole, part = divmod(sixteenths, 16)
        words = cardinal(whole).replace("-", " ").split() if whole else []
        for fraction in _fractions(part):
            said = [*words, *(("and",) if words and fraction else ()), *fraction]
            for unit in ((), ("inches",), ("inch",)) if words else ((), ("inch",), ("of", "an", "inch")):
                found.append((*said, *unit))
    return tuple(found)


def _fractions(part: int) -> list[Words]:
    if part == 0:
        return [()]
    size = 16
    while part % 2 == 0:
        part, size = part // 2, size // 2
    one, many = {2: ("half", "halves"), 4: ("quarter", "quarters"), 8: ("eighth", "eighths")}.get(
        size, ("sixteenth", "sixteenths")
    )
    if part > 1:
        return [(cardinal(part), many)]
    return [(article, one) for article in ("a", "one", "an")[: 3 if size == 8 else 2]]


def meaning(words: Words) -> str:
    """The value of a length, independent of its wording."""
    text = " ".join(words).removesuffix(" of an inch")
    kept = [word for word in text.split() if word not in ("inches", "inch", "and")]
    return " ".join("one" if word in ("a", "an") else word for word in kept)


class Ear:
    """A loaded model for measuring."""

    def __init__(self, folder: Path) -> None:
        self.transcriber = Transcriber(folder)
        self.decoder = Decoder(as_float(read(folder / "model.bin")))

    def tree(self, choices: Sequence[Words]) -> Tree:
        """The choices as a prefix tree."""
        tree = Tree()
        for words in choices:
            tree.add(self.transcriber.ids(written(words)), meaning(words))
        return tree


def choose(ear: Ear, tree: Tree, clips: Sequence[Clip]) -> tuple[int, int]:
    """Counts of clips with the correct best hypothesis, and with the correct one in the n-best list."""
    right = among = 0
    for clip in clips:
        found = [one for one, _ in search(ear.decoder, ear.transcriber.encode(clip.samples, WINDOW)[0], tree)]
        true = meaning(clip.words)
        right += found[:1] == [true]
        among += true in found[:FIRST]
    return right, among


def wrong_digits(ear: Ear, clips: Sequence[Clip], errors: bool) -> tuple[int, int]:
    """Substituted, deleted and inserted number words in free transcripts, and the number of spoken ones."""
    wrong = said = 0
    for clip in clips:
        read_words = plain(ear.transcriber.read(ear.transcriber.encode(clip.samples, WINDOW))[0])
        heard, true = digits(read_words), digits(clip.words)
        away = distance(heard, true)
        if errors and away:
            print("     ", " ".join(true), "->", " ".join(heard))
        wrong, said = wrong + away, said + len(true)
    return wrong, said


def digits(words: Sequence[str]) -> list[str]:
    """The number words. "oh" is zero; any other word counts as an error."""
    known = {*ONES, *TEENS, *TENS, "zero", "hundred", "thousand"}
    return [word if word in known else "zero" if word in ("oh", "o") else "?" for word in words]


def distance(one: Sequence[str], other: Sequence[str]) -> int:
    """The word edit distance."""
    row = list(range(len(other) + 1))
    for at, word in enumerate(one, 1):
        last, row[0] = row[0], at
        for place, against in enumerate(other, 1):
            last, row[place] = row[place], min(row[place] + 1, row[place - 1] + 1, last + (word != against))
    return row[-1]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("models", type=Path, nargs="+")
    parser.add_argument("--only", help="only sets whose name starts with one of these, separated by ;")
    parser.add_argument("--part", type=int, default=1, help="use every n-th clip")
    parser.add_argument("--levels", default="clean,15,6,0")
    parser.add_argument("--errors", action="store_true")
    parser.add_argument("--json", type=Path, help="write the figures here")
    args = parser.parse_args()
    levels = [None if level == "clean" else float(level) for level in args.levels.split(",")]
    figures: dict[str, dict[str, list[float]]] = {}
    for folder in args.models:
        ear = Ear(folder)
        for test in tests():
            if args.only and not test.name.startswith(tuple(args.only.split(";"))):
                continue
            clips = list(test.clips)[:: args.part]
            tree = ear.tree(test.choices()) if test.choices else None
            found = []
            for level in levels:
                spoiled = sets.noisy(clips, level)
                if tree is None:
                    wrong, said = wrong_digits(ear, spoiled, args.errors)
                    found.append([100 * wrong / said])
                else:
                    right, among = choose(ear, tree, spoiled)
                    found.append([100 * right / len(clips), 100 * among / len(clips)])
            what = "wrong" if tree is None else f"right (among {FIRST})"
            shown = " / ".join(
                f"{one[0]:.1f}" + (f" ({one[1]:.1f})" if len(one) > 1 else "") for one in found
            )
            print(f"{folder.name:12} {test.name:26} n={len(clips):4} {what}: {shown}", flush=True)
            figures.setdefault(str(folder), {})[test.name] = [float(np.round(one[0], 2)) for one in found]
    if args.json:
        args.json.write_text(json.dumps(figures, indent=1), encoding="utf-8")


if __name__ == "__main__":
    main()
