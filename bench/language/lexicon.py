"""The phrases people use, and the confidence needed to act on them. Filled from data, used as values."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from functools import cache, cached_property, lru_cache

from bench.language.nodes import Alt, Node, Opt, Seq, Wide, Word
from bench.language.numbers import BELOW_HUNDRED, ORDINAL
from bench.language.sentences import words_of

Phrases = Mapping[str, tuple[str, ...]]
Slots = Mapping[str, Node]
"""What a template can leave open, by the name in its braces."""

_TOKEN = re.compile(r"[\[\]()|]|\{[a-z]+\}|[a-z']+|\S")
NUMBER: Slots = {"{number}": BELOW_HUNDRED, "{nth}": ORDINAL}
_AT_LENGTH = {
    **{f"{word}'s": f"{word} is" for word in ("that", "it", "this", "what", "where", "there", "one", "mine")},
    "i'm": "i am",
    "we're": "we are",
    "they're": "they are",
    "i've": "i have",
    "don't": "do not",
    "doesn't": "does not",
    "isn't": "is not",
}
_EXAMPLES = {
    "{number}": "two",
    "{nth}": "second",
    "{term}": "rim notch",
    "{name}": "boiler room two",
    "{route}": "panel a to box three",
}


@dataclass(frozen=True, slots=True)
class Certainty:
    """Confidence (0 to 1) needed to act on what was heard, by the cost of a mistake.

    Below `ignore` it was hardly speech for us; between that and the figure for its kind it is UNSURE.
    `margin` is how far the best of two different numbers must lead when both were heard. `sound_alike` weighs
    readings that were not heard but sound like what was. `costly` commands undo or end work. `casual` phrases
    are in everybody's talk: they need `casual_phrase` wherever they would move something.
    """

    ignore: float
    number: float
    choice: float
    yes: float
    no: float
    command: float
    costly_command: float
    casual_phrase: float
    wake: float
    margin: float
    sound_alike: float
    costly: tuple[str, ...]
    casual: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Labels:
    """What names a measure beside its number: "rise six" before it, "six high" after it. The first recognizer knows
    none of `more_before` and `more_after`."""

    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    more_before: tuple[str, ...] = ()
    more_after: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Plainly:
    """What the first recognizer knows in place of the lists of these names: it must hear word by word."""

    openers: tuple[str, ...]
    closers: tuple[str, ...]
    agreeing: tuple[str, ...]
    corrections: tuple[str, ...]
    naming: tuple[str, ...]
    lead_ins: tuple[str, ...]
    between: tuple[str, ...]
    siding: tuple[str, ...]
    found: tuple[str, ...]
    amount: tuple[str, ...]


@dataclass(frozen=True)
class Phrasebook:
    """Every phrase by its key, the first one being offered. Templates know `[left out]`, `(a|b)`, and slots:
    `{number}`, `{nth}`, `{term}` of the trade, `{name}` of a place, `{route}` of a run.

    `lead_ins` may stand before a number, `naming` before the name of a thing, `sized` after a trade size,
    `openers` before and `closers` after anything, `agreeing` before and `hedges` after all but a yes or no,
    `asking` before and `asked` after a command but those of `reports`, which tell what was done or seen,
    `refusing` before those of `refused`. Phrases of `yielding` are left out where that other command or
    choice can be said: they sound like it. `articles` stand before a bend; after those of `ninety` their
    angle can be said as "ninety". In one breath `between` stands between two measures, `around` anywhere,
    `mending` before one said anew, `labels` name them, `siding` stands before the side a bend goes to.
    `amiss` names what is wrong beside an amount, `amount` stands between the two and `found` before both.
    `corrections` begin a corrected value, `hesitations` mean nothing, `sound_alikes` are pairs of words or
    word sequences taken for each other, `homophones` pairs of words that sound the same, `not_at_numbers` are
    phrases of commands that cannot be said where a number is asked, `spellings` maps words to the spelling
    used inside, `pronunciations` are ARPAbet for words that dictionaries lack.
    """

    commands: Phrases
    choices: Phrases
    sizes: Phrases
    yes: tuple[str, ...]
    no: tuple[str, ...]
    lead_ins: tuple[str, ...]
    naming: tuple[str, ...]
    sized: tuple[str, ...]
    openers: tuple[str, ...]
    closers: tuple[str, ...]
    agreeing: tuple[str, ...]
    refusing: tuple[str, ...]
    refused: tuple[str, ...]
    hedges: tuple[str, ...]
    asking: tuple[str, ...]
    asked: tuple[str, ...]
    reports: tuple[str, ...]
    ninety: tuple[str, ...]
    articles: tuple[str, ...]
    mending: tuple[str, ...]
    between: tuple[str, ...]
    around: tuple[str, ...]
    siding: tuple[str, ...]
    amount: tuple[str, ...]
    found: tuple[str, ...]
    labels: Mapping[str, Labels]
    amiss: Phrases
    corrections: tuple[str, ...]
    hesitations: tuple[str, ...]
    plainly: Plainly
    sound_alikes: tuple[tuple[str, str], ...]
    homophones: tuple[tuple[str, str], ...]
    not_at_numbers: tuple[str, ...]
    yielding: Phrases
    spellings: Mapping[str, str]
    pronunciations: Mapping[str, str]

    @cached_property
    def templates(self) -> Mapping[str, tuple[str, ...]]:
        """Every list of phrases, by where it stands in the file."""
        plain = (
            "hesitations",
            "sound_alikes",
            "homophones",
            "not_at_numbers",
            "reports",
            "refused",
            "ninety",
        )
        lists = {name: several for name, several in vars(self).items() if isinstance(several, tuple)}
        found = {f"lists: {name}": several for name, several in lists.items() if name not in plain}
        for table in ("commands", "choices", "sizes", "amiss"):
            found |= {f"{table}: {key}": several for key, several in getattr(self, table).items()}
        found |= {f"plainly: {one.name}": getattr(self.plainly, one.name) for one in fields(Plainly)}
        for key, labels in self.labels.items():
            sides = {one.name: getattr(labels, one.name) for one in fields(Labels)}
            found |= {f"labels: {key}.{side}": several for side, several in sides.items() if several}
        return found


@dataclass(frozen=True)
class Lexicon(Phrasebook):
    """The phrases with what they leave open (`slots`), and the confidence needed to act on them."""

    certainty: Certainty
    slots: Slots

    __hash__ = object.__hash__

    def __eq__(self, other: object) -> bool:
        return self is other

    @cached_property
    def phrase_words(self) -> frozenset[str]:
        """Every word of every phrase."""
        words = (words_of(self.tree(one)) for several in self.templates.values() for one in several)
        return frozenset(self.hesitations).union(*words)

    @cached_property
    def plain(self) -> Lexicon:
        """Without what only stands around an answer and changes nothing; openers and closers stay, one at a time."""
        said = self.plainly
        return replace(
            self,
            labels={key: Labels(one.before, one.after) for key, one in self.labels.items()},
            agreeing=said.agreeing,
            corrections=said.corrections,
            refusing=(),
            hedges=(),
            asking=(),
            asked=(),
            around=(),
            openers=said.openers,
            closers=said.closers,
            naming=said.naming,
            lead_ins=said.lead_ins,
            between=said.between,
            siding=said.siding,
            found=said.found,
            amount=said.amount,
        )

    def labels_of(self, key: str, side: str) -> tuple[str, ...]:
        """What names a measure on one side of its number, "before" or "after"."""
        labels = self.labels.get(key, Labels())
        return (*getattr(labels, side), *getattr(labels, f"more_{side}"))

    @property
    def is_plain(self) -> bool:
        """Whether it is a `plain` one."""
        return not self.hedges

    @cached_property
    def spelled(self) -> Mapping[str, str]:
        """The spellings, and "the height's three" for "the height is three" where no phrase has that word."""
        words = self.phrase_words
        short = {f"{word}'s": f"{word} is" for word in words if f"{word}'s" not in words}
        return {**short, **self.spellings}

    def tree(self, template: str) -> Node:
        """A template as a grammar tree, its slots filled."""
        return phrase(template, self.slots)


def offered(template: str) -> str:
    """A template as it is shown: without what may be left out, first of each choice."""
    words, _ = _plain(_TOKEN.findall(template), 0)
    return " ".join(words)


def phrase(template: str, slots: Slots = NUMBER) -> Node:
    """A template as a grammar tree, `{number}` yielding an int. ValueError for one that makes no sense."""
    return _tree(template, tuple(slots.items()))


@lru_cache(maxsize=4096)
def _tree(template: str, slots: tuple[tuple[str, Node], ...]) -> Node:
    """Made once: most of what can be said is the same at every step."""
    tokens = _TOKEN.findall(template)
    node, at = _alternatives(template, tokens, 0, dict(slots))
    if at != len(tokens):
        raise ValueError(f"unexpected {tokens[at]!r} in the phrase {template!r}")
    return node


# Equal parts of phrases are one node: a third less memory, and a third less time to build an automaton.
_word, _seq, _alt, _opt = cache(Word), cache(Seq), cache(Alt), cache(Opt)


@cache
def _said(word: str) -> Node:
    """A word; a short form also at length: "that is" for "that's"."""
    if word not in _AT_LENGTH:
        return _word(word)
    at_length = _seq(tuple(map(_word, _AT_LENGTH[word].split())))
    return Wide(_alt((_word(word), at_length)), _word(word))


def _alternatives(template: str, tokens: list[str], at: int, slots: Slots) -> tuple[Node, int]:
    first, at = _sequence(template, tokens, at, slots)
    options = [first]
    while at < len(tokens) and tokens[at] == "|":
        option, at = _sequence(template, tokens, at + 1, slots)
        options.append(option)
    return (options[0] if len(options) == 1 else _alt(tuple(options))), at


def _sequence(template: str, tokens: list[str], at: int, slots: Slots) -> tuple[Node, int]:
    parts: list[Node] = []
    while at < len(tokens) and tokens[at] not in "])|":
        token = tokens[at]
        if token in "[(":
            inner, at = _alternatives(template, tokens, at + 1, slots)
            if at == len(tokens) or tokens[at] != {"[": "]", "(": ")"}[token]:
                raise ValueError(f"{token!r} is not closed in the phrase {template!r}")
            parts.append(_opt(inner) if token == "[" else inner)
        elif token in slots:
            parts.append(slots[token])
        elif token.replace("'", "").isalpha():
            parts.append(_said(token))
        else:
            raise ValueError(f"unexpected {token!r} in the phrase {template!r}")
        at += 1
    if not parts:
        raise ValueError(f"nothing to say in a part of the phrase {template!r}")
    return (parts[0] if len(parts) == 1 else _seq(tuple(parts))), at


def _plain(tokens: list[str], at: int) -> tuple[list[str], int]:
    words: list[str] = []
    keep = True
    while at < len(tokens) and tokens[at] not in "])":
        token = tokens[at]
        if token in "[(":
            inner, at = _plain(tokens, at + 1)
            words += inner if token == "(" and keep else []
        elif token == "|":
            keep = False
        elif keep:
            words.append(_EXAMPLES.get(token, token))
        at += 1
    return words, at
