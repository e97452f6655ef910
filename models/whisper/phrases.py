"""Training texts of the second recognizer: everything the product understands, and other talk.

`python -m models.whisper.phrases --count 6000 --seed 1 --out lines.jsonl` writes lines for `models.speak --lines`.
The product's grammars are sampled in each dialogue state, so an extended language needs no change here.
"""

from __future__ import annotations

import argparse
import re
import tomllib
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from random import Random

from bench.language.numbers import ONES, cardinal
from models import phrases as first
from models.corpus import known
from models.pronounce import pronunciations
from models.speak import save_lines
from models.voices import Line
from models.whisper.conversations import conversations

Texts = dict[str, list[str]]
PAUSE = ","
LONGEST = 24
"""Most words in a line: about eight seconds."""


@cache
def texts() -> Texts:
    """The templates and word lists of `said.toml`."""
    return tomllib.loads((Path(__file__).parent / "said.toml").read_text(encoding="utf-8"))


def lines(count: int, seed: int) -> list[Line]:
    """`count` lines with a pronunciation for each word, reproducible by seed."""
    rng = Random(seed)
    found: list[Line] = []
    for said in phrases(rng):
        words = tuple(word for word in said if word != PAUSE)
        if not 0 < len(words) <= LONGEST or not all(map(known, words)):
            continue
        ways = [pronunciations(word) for word in words]
        sounds = tuple(one[0] if rng.random() < 0.7 else rng.choice(one) for one in ways)
        found.append(Line(words, sounds, _pauses(said)))
        if len(found) == count:
            break
    return found


def phrases(rng: Random) -> Iterator[tuple[str, ...]]:
    """An endless stream of random phrases, with pauses as commas."""
    grammars = conversations(rng)
    kinds: list[tuple[float, Callable[[], str]]] = [
        (40, lambda: " ".join(next(grammars))),
        (8, lambda: " ".join(rng.choice(first.fixed()).pick(rng)[0])),
        (20, lambda: number(rng)),
        (12, lambda: _filled(rng.choice(texts()["orders"]), rng)),
        (5, lambda: _filled(rng.choice(texts()["corrections"]), rng)),
        (5, lambda: _filled(rng.choice(texts()["answers"]), rng)),
        (2, lambda: " ".join(rng.choice(first.practiced()) for _ in range(rng.randint(1, 3)))),
        (8, lambda: _filled(rng.choice(texts()["talk"]), rng)),
    ]
    shares, makers = zip(*kinds, strict=True)
    while True:
        text = rng.choices(makers, shares)[0]()
        yield tuple(text.replace("-", " ").replace(",", " , ").split())


def number(rng: Random) -> str:
    """A measure, angle, count or string of digits. All sixteenths are equally likely."""
    makers: tuple[Callable[[Random], str], ...] = (_inches, _feet, _metric, _angle, _digits, _decimal, _whole)
    return _hesitant(rng.choices(makers, (40, 14, 6, 10, 16, 5, 9))[0](rng), rng)


def _inches(rng: Random, top: int = 100) -> str:
    unit = rng.choice(("", "", "", " inches", " inch"))
    whole = cardinal(rng.randint(1, top - 1)) if rng.random() < 0.93 else rng.choice(("", "inch"))
    if not whole or rng.random() < 0.75:
        part = _fraction(rng)
        if not whole:
            return part + rng.choice(("", " inch", " of an inch"))
        joint = "and " if part.startswith("a") or rng.random() < 0.7 else ""
        return f"{whole} {joint}{part}{unit}"
    return whole + unit


def _feet(rng: Random) -> str:
    count = rng.randint(1, 10)
    feet = f"{cardinal(count)} {'foot' if count == 1 else rng.choice(('foot', 'feet'))}"
    rest = cardinal(rng.randint(1, 11)) if rng.random() < 0.85 else ""
    if rng.random() < 0.55:
        rest += (rng.choice((" and ", " ")) if rest else "") + _fraction(rng)
    return f"{feet} {rest}{rng.choice(('', '', ' inches')) if rest else ''}"


def _metric(rng: Random) -> str:
    if rng.random() < 0.5:
        return f"{cardinal(rng.randint(5, 2999))}{rng.choice(('', ' millimeters', ' mil'))}"
    if rng.random() < 0.6:
        tail = f" point {rng.choice(ONES)}" if rng.random() < 0.5 else ""
        return f"{cardinal(rng.randint(1, 300))}{tail} centimeters"
    return f"{rng.choice(('zero', *ONES[:4]))} point {_some_digits(rng, rng.randint(1, 2))} meters"


def _angle(rng: Random) -> str:
    usual = ("ten", "fifteen", "twenty two and a half", "thirty", "forty five", "sixty", "ninety")
    value = (
        rng.choice((*usual, "twenty two point five")) if rng.random() < 0.5 else cardinal(rng.randint(1, 90))
    )
    if rng.random() < 0.12:
        value = f"{cardinal(rng.randint(1, 90))} and a half"
    return value + rng.choice(("", " degrees", " degrees", " degree"))


def _digits(rng: Random) -> str:
    return _some_digits(rng, rng.choice((1, 1, 2, 2, 3, 3, 4, 5, 6, 7, 8, 9, 10, 10, 11)))


def _some_digits(rng: Random, count: int) -> str:
    zero = rng.choice(("zero", "zero", "oh"))
    return " ".join(rng.choice((zero, *ONES)) for _ in range(count))


def _decimal(rng: Random) -> str:
    before = cardinal(rng.randint(0, 99)) if rng.random() < 0.9 else ""
    return f"{before} point {_some_digits(rng, rng.choice((1, 1, 2, 3)))}{rng.choice(('', '', ' inches', ' degrees'))}"


def _whole(rng: Random) -> str:
    if rng.random() < 0.35:
        return " ".join(cardinal(rng.randint(1, 99)) for _ in range(rng.randint(2, 4)))
    if rng.random() < 0.3:
        return f"{rng.choice(ONES)} hundred {rng.choice(('', 'and '))}{cardinal(rng.randint(1, 99))}"
    return rng.choice(("", "", "number ")) + cardinal(rng.randint(0, 99))


def _fraction(rng: Random) -> str:
    size, one, many = rng.choice(
        ((2, "half", ""), *((4, "quarter", "quarters"),) * 2, *((8, "eighth", "eighths"),) * 3)
        + ((16, "sixteenth", "sixteenths"),) * 4
    )
    count = rng.randrange(1, size, 2)
    if count > 1:
        return f"{cardinal(count)} {rng.choice((many, many, one)) if size == 4 else many}"
    return f"{rng.choice(('a', 'a', 'one', 'an' if size == 8 else 'a'))} {one}"


def _hesitant(text: str, rng: Random) -> str:
    if rng.random() < 0.93:
        return text
    words = text.split()
    words.insert(rng.randrange(len(words)), rng.choice(("uh", "um", "er", "hmm")))
    return " ".join(words)


def _filled(template: str, rng: Random) -> str:
    """The template with random choices and filled slots."""
    while found := re.search(r"([\[(])([^\[\]()]*)[\])]", template):
        inside = rng.choice(found[2].split("|")) if found[1] == "(" or rng.random() < 0.5 else ""
        template = template[: found.start()] + inside + template[found.end() :]
    return re.sub(r"\{(\w+)\}", lambda one: _place(one[1], rng), template)


def _place(name: str, rng: Random) -> str:
    makers: dict[str, Callable[[], str]] = {
        "length": lambda: rng.choices((_inches, _feet, _metric), (70, 25, 5))[0](rng),
        "small": lambda: _inches(rng, 13),
        "mm": lambda: _metric(rng),
        "angle": lambda: _angle(rng),
        "count": lambda: cardinal(rng.randint(1, 20)),
        "digits": lambda: _some_digits(rng, 7),
        "number": lambda: cardinal(rng.randint(2, 99)),
        "word": lambda: rng.choice(first.practiced() if rng.random() < 0.3 else _general()),
    }
    return makers[name]() if name in makers else rng.choice(texts()[name])


@cache
def _general() -> tuple[str, ...]:
    from models.pronounce import general_words

    return tuple(word for word in general_words() if 2 <= len(word) <= 9)


def _pauses(said: tuple[str, ...]) -> tuple[int, ...]:
    """The indexes of the words followed by a pause."""
    found, at = [], -1
    for word in said:
        if word == PAUSE:
            found.append(at)
        else:
            at += 1
    return tuple(one for one in found if 0 <= one < at)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=6000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--out", type=Path, required=True)
    args = parser.parse_args()
    save_lines(args.out, lines(args.count, args.seed))


if __name__ == "__main__":
    main()
