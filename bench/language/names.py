"""What a job, a place or a run can be called by voice, and names as they are spoken."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from bench.language.lexicon import phrase
from bench.language.nodes import Act, Alt, Node, Opt, Seq, Word, opt, seq
from bench.language.numbers import cardinal, whole

_MOST = 999
_DIGITS = re.compile(r"\d+")


@dataclass(frozen=True)
class Places:
    """Words of names: `kinds` may have a number or a letter after them, `floors` stand before a kind.

    `letters` maps what is said to the letter meant.
    """

    kinds: tuple[str, ...]
    floors: tuple[str, ...]
    directions: tuple[str, ...]
    letters: Mapping[str, str]


def name_node(places: Places) -> Node:
    """ "Boiler room two", "second floor east", "panel A", "job twelve"; the value is the name as it is written."""
    kind = Alt(tuple(_as_said(phrase(one)) for one in places.kinds))
    letter = Alt(tuple(Word(said, (written,)) for said, written in places.letters.items()))
    number = Act(whole(_MOST), str)
    direction = Alt(tuple(Word(one, (one,)) for one in places.directions))
    floor = Alt(tuple(Word(one, (one,)) for one in places.floors))
    before = Opt(Alt((direction, floor)), 0.3)
    part = Seq((opt("the"), before, kind, Opt(Alt((number, letter))), Opt(direction, 0.2)))
    numbered = Seq((Word("job", ("job",)), number))  # "job" alone begins no name: "this job boiler room two"
    return Act(Alt((Seq((part, Opt(part, 0.2))), numbered)), _joined)


def route_node(name: Node) -> Node:
    """A name, or from one to another: "panel A to box three"."""
    return Act(seq(opt("from"), name, Opt(seq(Word("to", ("to",)), name))), _joined)


def term_node(terms: Mapping[str, tuple[str, ...]]) -> Node:
    """A word of the trade; the value is its key."""
    ways = [(key, phrase(one)) for key, several in terms.items() for one in several]
    return Alt(tuple(Act(node, lambda *_, key=key: key) for key, node in ways))


def spoken_name(name: str) -> str:
    """A name as it is said: numbers in words, three digits as on a door ("two oh four")."""
    return _DIGITS.sub(lambda found: _on_a_door(found[0]), name)


def same_name(one: str, other: str) -> bool:
    """Whether two names are the same to the ear."""
    return _plain(one) == _plain(other)


def _plain(name: str) -> str:
    return " ".join(re.sub(r"[^\w ]", " ", spoken_name(name)).lower().split())


def _on_a_door(digits: str) -> str:
    if len(digits) == 3 and digits[0] != "0" and digits[1:] != "00":
        last = int(digits[1:])
        return f"{cardinal(int(digits[0]))} {'oh ' if last < 10 else ''}{cardinal(last)}"
    return cardinal(int(digits)) if len(digits) <= 6 else " ".join(cardinal(int(one)) for one in digits)


def _as_said(node: Node) -> Node:
    """A tree whose words are its values."""
    match node:
        case Word():
            return Word(node.text, (node.text,))
        case Seq():
            return Seq(tuple(map(_as_said, node.parts)))
        case Alt():
            return Alt(tuple(map(_as_said, node.options)))
        case Opt():
            return Opt(_as_said(node.part), node.often)
    raise TypeError(node)


def _joined(*words: str) -> str:
    return " ".join(words)
