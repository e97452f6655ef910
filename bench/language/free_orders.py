"""Orders in people's own words: bend, measures and set-up in any order, with what is said around them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import Any

from bench.language.lexicon import Lexicon
from bench.language.meaning import Expectation, Given, Kind
from bench.language.measures import freely_said_number
from bench.language.nodes import Act, Alt, Loop, Node, Opt, Tail, Word, seq
from bench.language.order_parts import (
    angles_of,
    any_of,
    bare_angle,
    called_by,
    keys_of_all,
    label_node,
    label_nodes,
    mark,
    name_of,
    named_angle,
    side_node,
)
from bench.language.orders import NEITHER


def freely(set_up: tuple[Node, ...], expectation: Expectation, lexicon: Lexicon) -> Node:
    """The bend's name, its measures and the set-up in any order, with anything of `around` before, between and after
    them: "there's a duct in the way, six high, so an offset, forty to it".

    `set_up`: conduit and size, a size before the bend, a size alone.
    """
    keys = keys_of_all(expectation)
    names = [named.bend for named in expectation.bends]
    angles = angles_of(keys)
    lengths = [key for key, kind in keys if kind is not Kind.ANGLE]
    around = Loop(any_of((*lexicon.around, *lexicon.between)), Word("and"))
    number = Act(freely_said_number(expectation.units), partial(Given, Kind.LENGTH))
    degrees = label_node("after", lexicon.labels_of("angle", "after"), angles)
    after = Opt(Alt((*label_nodes(lengths, "after", lexicon), degrees)))
    before = Opt(seq(Alt(tuple(label_nodes([key for key, _ in keys], "before", lexicon))), Opt(around)))
    measures = (
        Act(seq(before, number, after), _labeled),
        *((bare_angle(angles), named_angle(angles)) if angles else ()),
    )
    sides = (side_node(expectation.sides, False, lexicon),) if expectation.sides else ()
    naming, article = Opt(any_of(lexicon.naming)), Opt(any_of(lexicon.articles))
    name = seq(naming, article, Opt(called_by(angles, expectation)), name_of(names, angles, lexicon))
    sized = [seq(set_up[1], any_of(lexicon.sized))] if set_up else []
    part = Alt((*measures, name, *set_up[:1], *sized, *sides, mark(lexicon.mending)))
    free = seq(Opt(around), Loop(part, around, cost=_cost), Opt(Tail(around)))
    if not set_up:
        return free
    _, bare, alone = set_up
    return seq(naming, Alt((free, seq(bare, free), alone)))


def _labeled(*parts: Any) -> Given:
    """A number with what its labels have in common."""
    (given,) = (part for part in parts if isinstance(part, Given))
    keys = [part[1] for part in parts if not isinstance(part, Given)]
    if not keys:
        return given
    both = tuple(key for key in keys[0] if all(key in others for others in keys))
    return replace(given, measures=both or (NEITHER,))


def _cost(parts: Sequence[Any]) -> tuple[int, ...]:
    """How unlikely it is that a row means these parts: numbers whose labels contradict each other or are of one
    measure, numbers without a label, numbers, fractions alone."""
    given = [part for part in parts if isinstance(part, Given)]
    named = [one.measures for one in given if len(one.measures) == 1]
    contrary = len(named) - len(set(named)) + named.count((NEITHER,))
    return contrary, sum(not one.measures for one in given), len(given), sum(one.value < 1 for one in given)
