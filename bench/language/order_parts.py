"""The parts of an order as grammar trees: names, labels, what a bend is called by, the side it goes to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from functools import partial
from typing import Any

from bench.language.lexicon import Lexicon, phrase
from bench.language.meaning import Expectation, Given, Kind
from bench.language.measures import BENDS_OF, said_number
from bench.language.nodes import Act, Alt, Loop, Node, Opt, Wide, Word, alt, seq
from bench.language.orders import ADJECTIVE

CORRECTS = "corrects"
"""The part that says that the next number is in place of the one before."""
BARE = "bare"
"""The field of a size that stands before the bend, without its conduit."""
SELDOM = 0.3
"""How often a sample has what may be left out."""


def any_of(phrases: Iterable[str]) -> Node:
    """One of the phrases."""
    return Alt(tuple(phrase(one) for one in phrases))


def mark(phrases: Iterable[str]) -> Node:
    """One of the phrases after which a number is said anew."""
    return Act(any_of(phrases), lambda *_: CORRECTS)


def one_of(field: str, keys: Iterable[str], phrases: Any, lead: Node | None = None) -> Node:
    """One of the keys, as a part of an order."""
    nodes = []
    for key in keys:
        if not phrases.get(key):
            continue
        said = any_of(phrases[key])
        whole = said if lead is None else seq(lead, said)
        nodes.append(Act(whole, lambda *_, key=key: (field, key)))
    return Alt(tuple(nodes))


def label_nodes(keys: Sequence[str], side: str, lexicon: Lexicon) -> list[Node]:
    """The labels, each with the keys it can mean: "high" is a height or a rise, as the bend has it."""
    named: dict[str, tuple[str, ...]] = {}
    for key in keys:
        for template in lexicon.labels_of(key, side):
            named[template] = (*named.get(template, ()), key)
    together: dict[tuple[str, ...], list[str]] = {}
    for template, several in named.items():
        together.setdefault(several, []).append(template)
    return [label_node(side, texts, several) for several, texts in together.items()]


def label_node(side: str, templates: Iterable[str], keys: tuple[str, ...]) -> Node:
    """One of the labels, "before" or "after" its number, of the measures `keys`."""
    return Act(any_of(templates), partial(_label, side, keys))


def _label(side: str, keys: tuple[str, ...], *_: object) -> tuple[str, tuple[str, ...]]:
    return side, keys


def angles_of(keys: Iterable[tuple[str, Kind]]) -> tuple[str, ...]:
    """The measures that are angles."""
    return tuple(key for key, kind in keys if kind is Kind.ANGLE)


def bare_angle(angles: tuple[str, ...]) -> Node:
    """ "Thirties": an angle as its bends are called."""
    return Act(BENDS_OF, lambda degrees: Given(Kind.LENGTH, Fraction(degrees), measures=angles))


def named_angle(angles: tuple[str, ...]) -> Node:
    """ "With thirties": an angle by itself, whatever stands around it."""
    return seq(alt("with", "on", "using", "use", "to", "in", "do", "at"), bare_angle(angles))


def called_by(angles: tuple[str, ...], expectation: Expectation) -> Node:
    """What a bend is called by: "six inch", "six inch thirty degree", "three"."""
    number = Act(said_number(expectation.units), partial(Given, Kind.LENGTH, measures=(ADJECTIVE,)))
    degree = Act(seq("degree"), partial(_label, "adjective", angles))
    called = Loop(seq(number, Opt(degree)), Word("and"))
    return Wide(called, Alt((number, seq(number, degree), seq(number, number, degree))))


def name_of(names: Sequence[str], angles: tuple[str, ...], lexicon: Lexicon) -> Node:
    """The name of one of the bends; the "ninety" of a segmented ninety is its angle."""
    turned = [name for name in names if name in lexicon.ninety and angles]
    others = [name for name in names if name not in turned]
    ways = [one_of("bend", others, lexicon.choices)] if others else []
    if turned:
        called = {
            name: [one for one in lexicon.choices[name] if not one.endswith("ninety")] for name in turned
        }
        ninety = Act(seq("ninety"), lambda *_: Given(Kind.LENGTH, Fraction(90), measures=angles))
        ways.append(seq(one_of("bend", turned, called), Opt(ninety, SELDOM)))
    return Alt(tuple(ways))


def side_node(sides: tuple[str, ...], labeled: bool, lexicon: Lexicon) -> Node:
    """Which way it goes; `labeled` by more than the one word, for "right" is a yes too."""
    choices, siding = lexicon.choices, any_of(lexicon.siding)
    if not labeled:
        return one_of("side", sides, choices, Opt(siding))
    several = {key: [one for one in choices[key] if len(one.split()) > 1] for key in sides}
    return Alt((one_of("side", sides, choices, siding), one_of("side", sides, several)))


def keys_of_all(expectation: Expectation) -> tuple[tuple[str, Kind], ...]:
    """The measures of all bends."""
    return tuple({slot.key: slot.kind for named in expectation.bends for slot in named.slots}.items())
