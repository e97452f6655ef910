"""Training sentences for the synthetic voices: the product's phrases, and talk that is not for it."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import cache
from pathlib import Path
from random import Random

from bench.core.lengths import Units
from bench.data.phrases import lexicon
from bench.language import grammar
from bench.language.measures import angle, count, length
from bench.language.nodes import Node
from bench.language.numbers import ONES, cardinal
from models.pronounce import general_words, pronunciations

Words = tuple[str, ...]


@cache
def _texts() -> dict[str, list[str]]:
    raw = tomllib.loads((Path(__file__).parent / "phrases.toml").read_text(encoding="utf-8"))
    raw["words"] = sorted({word for word in raw["words"].split() if _said(word)})
    return raw


def _said(word: str) -> bool:
    try:
        return bool(pronunciations(word))
    except KeyError:
        return False


@cache
def _numbers() -> tuple[tuple[float, Node], ...]:
    """Ways to say a number, each with its probability."""
    return (
        (4, length(Fraction(48), Units.INCH)),
        (2, length(Fraction(240), Units.INCH)),
        (1, length(Fraction(48), Units.METRIC)),
        (2, angle(Fraction(90))),
        (0.5, angle(Fraction(360))),
        (1, count(None)),
    )


@cache
def fixed() -> tuple[Node, ...]:
    """The product's phrases, one grammar tree each."""
    known = lexicon()
    tables = (*known.commands.values(), *known.choices.values(), *known.sizes.values(), known.yes, known.no)
    return tuple(known.tree(template) for templates in tables for template in templates)


@cache
def _corrections() -> tuple[Node, ...]:
    return tuple(map(lexicon().tree, lexicon().corrections))


def practiced() -> tuple[str, ...]:
    """Words that are also trained in isolation."""
    return tuple(_texts()["words"])


def vocabulary() -> frozenset[str]:
    """All words of the product's grammars and the isolated words."""
    openers = frozenset(word for opener in _texts()["openers"] for word in opener.split())
    return grammar.vocabulary(lexicon()) | openers | frozenset(practiced())


def phrases(rng: Random) -> Iterator[Words]:
    """An endless stream of random phrases."""
    single = tuple(sorted(vocabulary()))
    kinds: list[tuple[float, Callable[[], Words]]] = [
        (34, lambda: _number(rng)),
        (18, lambda: _sample(rng.choice(fixed()), rng)),
        (14, lambda: tuple(rng.choice(single) for _ in range(rng.randint(1, 4)))),
        (5, lambda: _sample(rng.choice(_corrections()), rng) + _number(rng)),
        (3, lambda: _number(rng) + _sample(rng.choice(_corrections()), rng) + _number(rng)),
        (6, lambda: _hesitant(_number(rng), rng)),
        (12, lambda: _talk(rng)),
        (8, lambda: tuple(rng.choice(_general()) for _ in range(rng.randint(2, 5)))),
    ]
    shares, makers = zip(*kinds, strict=True)
    while True:
        words = rng.choices(makers, shares)[0]()
        if 0 < len(words) <= 14 and all(map(_said, words)):
            yield words


@cache
def _general() -> tuple[str, ...]:
    return tuple(word for word in general_words() if 2 <= len(word) <= 9)


def _sample(node: Node, rng: Random) -> Words:
    return node.pick(rng)[0]


def _number(rng: Random) -> Words:
    """A number as usually said on the job, or sometimes anything the grammar allows."""
    if rng.random() < 0.2:
        shares, nodes = zip(*_numbers(), strict=True)
        return _sample(rng.choices(nodes, shares)[0], rng)
    return tuple(rng.choices((_inches, _feet, _degrees, _bare), (45, 20, 20, 15))[0](rng).split())


def _inches(rng: Random) -> str:
    unit = rng.choice(("", "", " inches", " inch"))
    if rng.random() < 0.15:
        return _fraction(rng) + rng.choice(("", " inch", " of an inch"))
    if rng.random() < 0.25:
        return _whole(rng, 99) + unit
    return (
        f"{_whole(rng, 99)}{rng.choice((unit, ''))}{rng.choice((' and', ' and', ''))} {_fraction(rng)}{unit}"
    )


def _feet(rng: Random) -> str:
    feet = f"{_whole(rng, 12)} {rng.choice(('foot', 'feet'))}"
    if rng.random() < 0.2:
        return feet
    rest = _whole(rng, 11) if rng.random() < 0.9 else ""
    if rng.random() < 0.6:
        rest += rng.choice((" and ", " ")) + _fraction(rng)
    return f"{feet} {rest}{rng.choice(('', '', ' inches'))}"


def _degrees(rng: Random) -> str:
    usual = (
        "ten",
        "fifteen",
        "twenty two and a half",
        "thirty",
        "forty five",
        "sixty",
        "ninety",
        "twenty two point five",
    )
    number = rng.choice(usual) if rng.random() < 0.6 else _whole(rng, 99)
    return number + rng.choice(("", " degrees", " degrees"))


def _bare(rng: Random) -> str:
    if rng.random() < 0.3:
        return " ".join(rng.choice(("zero", "oh", *ONES)) for _ in range(rng.randint(2, 5)))
    if rng.random() < 0.3:
        return f"{_whole(rng, 99)} point {rng.choice(('zero', *ONES))}"
    if rng.random() < 0.3:
        return f"{rng.choice(ONES)} hundred {rng.choice(('', 'and '))}{_whole(rng, 99)}"
    return _whole(rng, 99)


def _whole(rng: Random, most: int) -> str:
    return cardinal(rng.randint(1, most)).replace("-", " ")


def _fraction(rng: Random) -> str:
    size, one, many = rng.choice(
        (
            (2, "half", "halves"),
            (4, "quarter", "quarters"),
            (8, "eighth", "eighths"),
            (16, "sixteenth", "sixteenths"),
        )
    )
    count = rng.randrange(1, size, 2)
    return (
        f"{rng.choice(('a', 'one', 'an' if size == 8 else 'a'))} {one}"
        if count == 1
        else f"{cardinal(count)} {many}"
    )


def _hesitant(words: Words, rng: Random) -> Words:
    at = rng.choice((0, 0, rng.randrange(len(words))))
    return (*words[:at], *rng.choice(_texts()["openers"]).split(), *words[at:])


def _talk(rng: Random) -> Words:
    text = rng.choice(_texts()["talk"])
    while "{word}" in text:
        text = text.replace("{word}", rng.choice(_general()), 1)
    return tuple(text.replace("{number}", _whole(rng, 99)).split())
