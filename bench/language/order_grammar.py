"""What can be said in one breath: set-up, the name of a bend and its measures, in any order, labels before or after."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import lru_cache, partial

from bench.core.lengths import Units
from bench.language.free_orders import freely
from bench.language.lexicon import Lexicon
from bench.language.meaning import Expectation, Given, Kind, NamedBend
from bench.language.measures import said_number
from bench.language.nodes import Act, Alt, Loop, Node, Opt, Seq, Tail, Wide, Word, alt, seq
from bench.language.order_meaning import meaning_of
from bench.language.order_parts import (
    BARE,
    SELDOM,
    angles_of,
    any_of,
    called_by,
    keys_of_all,
    label_node,
    label_nodes,
    mark,
    name_of,
    named_angle,
    one_of,
    side_node,
)


def orders(expectation: Expectation, lexicon: Lexicon) -> list[Node]:
    """Answers of more than one part. Values are `Meaning`s: of a single plain part what it alone would mean."""
    keys = tuple((slot.key, slot.kind) for slot in expectation.slots)
    found: list[Node] = []
    if len(keys) == 1 and expectation.kind is not Kind.YESNO:
        found.append(_alone(*keys[0], expectation.units, lexicon))
    elif keys and (expectation.kind is Kind.YESNO or not expectation.bends):
        anew = expectation.kind is Kind.YESNO
        mend = Opt(mark(lexicon.corrections), 0.5) if anew else Opt(mark(lexicon.mending), 0.1)
        lead = Opt(any_of(lexicon.lead_ins), 0.1)
        found.append(seq(mend, lead, _measures(keys, anew, expectation.sides, expectation.units, lexicon)))
    elif expectation.sides and not expectation.bends:
        found.append(one_of("side", expectation.sides, lexicon.choices, any_of(lexicon.siding)))
    if expectation.bends or expectation.conduits:
        found.append(_named(expectation, lexicon))
    if expectation.faults:
        found.append(_fault(expectation, lexicon))
    return [Act(node, lambda *parts: meaning_of(expectation, parts), "order") for node in found]


def _alone(key: str, kind: Kind, units: Units, lexicon: Lexicon) -> Node:
    """The one measure that is asked for, with its label."""
    number = Act(said_number(units), partial(Given, Kind.LENGTH))
    named_after, named_before = lexicon.labels_of(key, "after"), lexicon.labels_of(key, "before")
    after = [seq(number, Tail(label_node("after", named_after, (key,))))] if named_after else []
    before = [seq(label_node("before", named_before, (key,)), number)] if named_before else []
    return seq(Opt(any_of(lexicon.lead_ins), 0.1), Alt((number, *after, *before)))


def _named(expectation: Expectation, lexicon: Lexicon) -> Node:
    """Set-up and a bend with its measures; either may be left out."""
    conduit = one_of("conduit", expectation.conduits, lexicon.choices)
    size = one_of("size", expectation.sizes, lexicon.sizes)
    bender = one_of("bender", expectation.benders, lexicon.choices)
    pipe = Alt(
        (
            seq(size, Opt(any_of(lexicon.sized), SELDOM), conduit),
            seq(conduit, Opt(seq(Opt(Word("in"), SELDOM), size), SELDOM)),
        )
    )
    tools = seq(pipe, Opt(bender, SELDOM))
    sizes = [size for size in expectation.sizes if _of_a_hand_bender(size)]
    bare = one_of(BARE, sizes, lexicon.sizes)
    alone = seq(one_of("size", sizes, _with_unit(lexicon.sizes)), Opt(any_of(lexicon.sized), 0.1))
    naming = Opt(any_of(lexicon.naming), 0.1)
    if not expectation.bends:
        return seq(naming, Alt((tools, alone)))
    bend = _bend(expectation, lexicon)
    set_up = (tools, bare, alone) if expectation.conduits else ()
    said = seq(naming, bend)
    if set_up:
        said = seq(naming, Alt((seq(tools, Opt(said)), seq(bare, bend), alone, bend)))
    return said if lexicon.is_plain else Wide(freely(set_up, expectation, lexicon), said)


def _bend(expectation: Expectation, lexicon: Lexicon) -> Node:
    """A bend and measures. The labels of all bends are accepted after each; samples have those of their own."""
    likely = [_one_bend(named, expectation, lexicon) for named in expectation.bends]
    names = [named.bend for named in expectation.bends]
    return Wide(_bend_of(names, keys_of_all(expectation), expectation, lexicon), Alt(tuple(likely)))


def _one_bend(named: NamedBend, expectation: Expectation, lexicon: Lexicon) -> Node:
    keys = tuple((slot.key, slot.kind) for slot in named.slots)
    return _bend_of([named.bend], keys, expectation, lexicon)


def _bend_of(
    names: Sequence[str], keys: tuple[tuple[str, Kind], ...], expectation: Expectation, lexicon: Lexicon
) -> Node:
    """The bend after what it is called by ("three parallel", "six inch thirty degree"), before its measures."""
    loop = _measures(keys, False, expectation.sides, expectation.units, lexicon)
    angles = angles_of(keys)
    adjective = Opt(called_by(angles, expectation), 0.1)
    name = name_of(names, angles, lexicon)
    measures = Opt(Seq((Opt(any_of(lexicon.between), SELDOM), Tail(loop))), 0.8)
    return seq(Opt(any_of(lexicon.articles), SELDOM), adjective, name, measures)


def _fault(expectation: Expectation, lexicon: Lexicon) -> Node:
    """ "Too high by a quarter", "a quarter too high", "over bent three degrees"."""
    number = Act(said_number(expectation.units), partial(Given, Kind.LENGTH))
    amount = seq(number, Opt(Tail(alt("degrees", "degree")), 0.1))
    names = {key: (*lexicon.choices.get(key, ()), *lexicon.amiss.get(key, ())) for key in expectation.faults}
    fault = one_of("fault", expectation.faults, names)
    lead = Opt(any_of((*lexicon.lead_ins, *lexicon.found)), 0.1)
    return seq(lead, Alt((seq(fault, Opt(any_of(lexicon.amount), 0.6), amount), seq(amount, fault))))


@lru_cache(maxsize=64)
def _measures(
    keys: tuple[tuple[str, Kind], ...],
    labeled: bool,
    sides: tuple[str, ...],
    units: Units,
    lexicon: Lexicon,
) -> Node:
    """Measures one after the other. With `labeled` samples say of every one what it is, and no side is named alone:
    "right" is a yes where that is asked.

    What is accepted is any row of numbers, labels and words between: as an automaton that is small, and a row
    that makes no sense has no meaning.
    """
    number = Act(said_number(units), partial(Given, Kind.LENGTH))
    every = [key for key, _ in keys]
    angles = angles_of(keys)
    lengths = [key for key, kind in keys if kind is not Kind.ANGLE]
    degrees = [label_node("after", lexicon.labels_of("angle", "after"), angles)] if angles else []
    bends_of = [named_angle(angles)] if angles else []
    after, before = label_nodes(lengths, "after", lexicon), label_nodes(every, "before", lexicon)
    between = Alt((any_of(lexicon.between), mark(lexicon.mending)))
    side = [side_node(sides, labeled, lexicon)] if sides else []
    row = Alt((number, *after, *degrees, *bends_of, *before, *side))
    named = [seq(number, label) for label in (*after, *degrees)] + [seq(label, number) for label in before]
    bare = [] if labeled else [number]
    likely = Alt((*named, *named, *bare, *bends_of, *side))
    return Wide(Loop(row, between), Loop(likely, between))


def _of_a_hand_bender(size: str) -> bool:
    """Sizes over two inches and those in millimeters are said with their kind of conduit in one breath: "a three inch
    offset" is one of that rise."""
    return not size.endswith("mm") and sum(map(Fraction, size.split())) <= 2


def _with_unit(sizes: Mapping[str, Sequence[str]]) -> dict[str, list[str]]:
    """Only the ways to say a size that nobody takes for another number."""
    return {key: [one for one in several if " inch" in one.split("[")[0]] for key, several in sizes.items()}
