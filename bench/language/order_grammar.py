"""What can be said in one breath: set-up, the name of a bend and its measures, in any order, labels before or after."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache, partial
from typing import Any

from bench.core.lengths import Units
from bench.language.lexicon import Lexicon, phrase
from bench.language.meaning import NUMBERS, Expectation, Given, Kind, Meaning, NamedBend, Order, Slot
from bench.language.measures import BENDS_OF, freely_said_number, said_number
from bench.language.nodes import Act, Alt, Loop, Node, Opt, Seq, Tail, Wide, Word, alt, seq
from bench.language.orders import ADJECTIVE, NEITHER, NONSENSE, typed_value

_CORRECTS = "corrects"
_BARE = "bare"
"""A size before the bend, without its conduit."""
_FIELDS = {_BARE: "size"}
_FEW = 0.3


def orders(expectation: Expectation, lexicon: Lexicon) -> list[Node]:
    """Answers of more than one part. Values are `Meaning`s: of a single plain part what it alone would mean."""
    keys = tuple((slot.key, slot.kind) for slot in expectation.slots)
    found: list[Node] = []
    if len(keys) == 1 and expectation.kind is not Kind.YESNO:
        found.append(_alone(*keys[0], expectation.units, lexicon))
    elif keys and (expectation.kind is Kind.YESNO or not expectation.bends):
        anew = expectation.kind is Kind.YESNO
        mend = Opt(_mark(lexicon.corrections), 0.5) if anew else Opt(_mark(lexicon.mending), 0.1)
        lead = Opt(_any(lexicon.lead_ins), 0.1)
        found.append(seq(mend, lead, _measures(keys, anew, expectation.sides, expectation.units, lexicon)))
    elif expectation.sides and not expectation.bends:
        found.append(_of("side", expectation.sides, lexicon.choices, _any(lexicon.siding)))
    if expectation.bends or expectation.conduits:
        found.append(_named(expectation, lexicon))
    if expectation.faults:
        found.append(_fault(expectation, lexicon))
    return [Act(node, lambda *parts: _meaning(expectation, parts), "order") for node in found]


def _alone(key: str, kind: Kind, units: Units, lexicon: Lexicon) -> Node:
    """The one measure that is asked for, with its label."""
    number = Act(said_number(units), partial(Given, Kind.LENGTH))
    named_after, named_before = lexicon.labels_of(key, "after"), lexicon.labels_of(key, "before")
    after = [seq(number, Tail(_act_label("after", named_after, (key,))))] if named_after else []
    before = [seq(_act_label("before", named_before, (key,)), number)] if named_before else []
    return seq(Opt(_any(lexicon.lead_ins), 0.1), Alt((number, *after, *before)))


def _named(expectation: Expectation, lexicon: Lexicon) -> Node:
    """Set-up and a bend with its measures; either may be left out."""
    conduit = _of("conduit", expectation.conduits, lexicon.choices)
    size = _of("size", expectation.sizes, lexicon.sizes)
    bender = _of("bender", expectation.benders, lexicon.choices)
    pipe = Alt(
        (
            seq(size, Opt(_any(lexicon.sized), _FEW), conduit),
            seq(conduit, Opt(seq(Opt(Word("in"), _FEW), size), _FEW)),
        )
    )
    tools = seq(pipe, Opt(bender, _FEW))
    sizes = [size for size in expectation.sizes if _of_a_hand_bender(size)]
    bare = _of(_BARE, sizes, lexicon.sizes)
    alone = seq(_of("size", sizes, _with_unit(lexicon.sizes)), Opt(_any(lexicon.sized), 0.1))
    naming = Opt(_any(lexicon.naming), 0.1)
    if not expectation.bends:
        return seq(naming, Alt((tools, alone)))
    bend = _bend(expectation, lexicon)
    set_up = (tools, bare, alone) if expectation.conduits else ()
    said = seq(naming, bend)
    if set_up:
        said = seq(naming, Alt((seq(tools, Opt(said)), seq(bare, bend), alone, bend)))
    return said if lexicon.is_plain else Wide(_freely(set_up, expectation, lexicon), said)


def _freely(set_up: tuple[Node, ...], expectation: Expectation, lexicon: Lexicon) -> Node:
    """The bend's name, its measures and the set-up in any order, with anything of `around` before, between and after
    them: "there's a duct in the way, six high, so an offset, forty to it".

    `set_up`: conduit and size, a size before the bend, a size alone.
    """
    keys = _keys_of_all(expectation)
    names = [named.bend for named in expectation.bends]
    angles = tuple(key for key, kind in keys if kind is Kind.ANGLE)
    lengths = [key for key, kind in keys if kind is not Kind.ANGLE]
    around = Loop(_any((*lexicon.around, *lexicon.between)), Word("and"))
    number = Act(freely_said_number(expectation.units), partial(Given, Kind.LENGTH))
    degrees = _act_label("after", lexicon.labels_of("angle", "after"), angles)
    after = Opt(Alt((*_labels(lengths, "after", lexicon), degrees)))
    before = Opt(seq(Alt(tuple(_labels([key for key, _ in keys], "before", lexicon))), Opt(around)))
    measures = (Act(seq(before, number, after), _labeled), *_bends_of_any(angles))
    sides = (_side(expectation.sides, False, lexicon),) if expectation.sides else ()
    naming = Opt(_any(lexicon.naming))
    name = seq(naming, Opt(_adjective(angles, expectation)), _name_of(names, angles, lexicon))
    sized = [seq(set_up[1], _any(lexicon.sized))] if set_up else []
    part = Alt((*measures, name, *set_up[:1], *sized, *sides, _mark(lexicon.mending)))
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


def _bends_of_any(angles: tuple[str, ...]) -> list[Node]:
    """An angle by itself: "thirties", "use thirties"."""
    said = Act(BENDS_OF, lambda degrees: Given(Kind.LENGTH, Fraction(degrees), measures=angles))
    return [said, _bends_of(angles)] if angles else []


def _bend(expectation: Expectation, lexicon: Lexicon) -> Node:
    """A bend and measures. The labels of all bends are accepted after each; samples have those of their own."""
    likely = [_one_bend(named, expectation, lexicon) for named in expectation.bends]
    names = [named.bend for named in expectation.bends]
    return Wide(_bend_of(names, _keys_of_all(expectation), expectation, lexicon), Alt(tuple(likely)))


def _keys_of_all(expectation: Expectation) -> tuple[tuple[str, Kind], ...]:
    """The measures of all bends."""
    return tuple({slot.key: slot.kind for named in expectation.bends for slot in named.slots}.items())


def _one_bend(named: NamedBend, expectation: Expectation, lexicon: Lexicon) -> Node:
    keys = tuple((slot.key, slot.kind) for slot in named.slots)
    return _bend_of([named.bend], keys, expectation, lexicon)


def _bend_of(
    names: Sequence[str], keys: tuple[tuple[str, Kind], ...], expectation: Expectation, lexicon: Lexicon
) -> Node:
    """The bend after what it is called by ("three parallel", "six inch thirty degree"), before its measures."""
    loop = _measures(keys, False, expectation.sides, expectation.units, lexicon)
    angles = tuple(key for key, kind in keys if kind is Kind.ANGLE)
    adjective = Opt(_adjective(angles, expectation), 0.1)
    name = _name_of(names, angles, lexicon)
    measures = Opt(Seq((Opt(_any(lexicon.between), _FEW), Tail(loop))), 0.8)
    return seq(Opt(_any(lexicon.articles), _FEW), adjective, name, measures)


def _adjective(angles: tuple[str, ...], expectation: Expectation) -> Node:
    """What a bend is called by: "six inch", "six inch thirty degree", "three"."""
    number = Act(said_number(expectation.units), partial(Given, Kind.LENGTH, measures=(ADJECTIVE,)))
    degree = Act(seq("degree"), partial(_label, "adjective", angles))
    called = Loop(seq(number, Opt(degree)), Word("and"))
    return Wide(called, Alt((number, seq(number, degree), seq(number, number, degree))))


def _name_of(names: Sequence[str], angles: tuple[str, ...], lexicon: Lexicon) -> Node:
    """The name of one of the bends; the "ninety" of a segmented ninety is its angle."""
    turned = [name for name in names if name in lexicon.ninety and angles]
    others = [name for name in names if name not in turned]
    ways = [_of("bend", others, lexicon.choices)] if others else []
    if turned:
        called = {
            name: [one for one in lexicon.choices[name] if not one.endswith("ninety")] for name in turned
        }
        ninety = Act(seq("ninety"), lambda *_: Given(Kind.LENGTH, Fraction(90), measures=angles))
        ways.append(seq(_of("bend", turned, called), Opt(ninety, _FEW)))
    return Alt(tuple(ways))


def _fault(expectation: Expectation, lexicon: Lexicon) -> Node:
    """ "Too high by a quarter", "a quarter too high", "over bent three degrees"."""
    number = Act(said_number(expectation.units), partial(Given, Kind.LENGTH))
    amount = seq(number, Opt(Tail(alt("degrees", "degree")), 0.1))
    names = {key: (*lexicon.choices.get(key, ()), *lexicon.amiss.get(key, ())) for key in expectation.faults}
    fault = _of("fault", expectation.faults, names)
    lead = Opt(_any((*lexicon.lead_ins, *lexicon.found)), 0.1)
    return seq(lead, Alt((seq(fault, Opt(_any(lexicon.amount), 0.6), amount), seq(amount, fault))))


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
    angles = tuple(key for key, kind in keys if kind is Kind.ANGLE)
    lengths = [key for key, kind in keys if kind is not Kind.ANGLE]
    degrees = [_act_label("after", lexicon.labels_of("angle", "after"), angles)] if angles else []
    bends_of = [_bends_of(angles)] if angles else []
    after, before = _labels(lengths, "after", lexicon), _labels(every, "before", lexicon)
    between = Alt((_any(lexicon.between), _mark(lexicon.mending)))
    side = [_side(sides, labeled, lexicon)] if sides else []
    row = Alt((number, *after, *degrees, *bends_of, *before, *side))
    named = [seq(number, label) for label in (*after, *degrees)] + [seq(label, number) for label in before]
    bare = [] if labeled else [number]
    likely = Alt((*named, *named, *bare, *bends_of, *side))
    return Wide(Loop(row, between), Loop(likely, between))


def _mark(phrases: Iterable[str]) -> Node:
    return Act(_any(phrases), lambda *_: _CORRECTS)


def _labels(keys: Sequence[str], side: str, lexicon: Lexicon) -> list[Node]:
    """The labels, each with the keys it can mean: "high" is a height or a rise, as the bend has it."""
    named: dict[str, tuple[str, ...]] = {}
    for key in keys:
        for template in lexicon.labels_of(key, side):
            named[template] = (*named.get(template, ()), key)
    together: dict[tuple[str, ...], list[str]] = {}
    for template, several in named.items():
        together.setdefault(several, []).append(template)
    return [_act_label(side, texts, several) for several, texts in together.items()]


def _act_label(side: str, templates: Iterable[str], keys: tuple[str, ...]) -> Node:
    return Act(_any(templates), partial(_label, side, keys))


def _bends_of(angles: tuple[str, ...]) -> Node:
    """ "With thirties": an angle by itself, whatever stands around it."""
    said = Act(BENDS_OF, lambda degrees: Given(Kind.LENGTH, Fraction(degrees), measures=angles))
    return seq(alt("with", "on", "using", "use", "to", "in", "do", "at"), said)


def _label(side: str, keys: tuple[str, ...], *_: object) -> tuple[str, tuple[str, ...]]:
    return side, keys


def _of(field: str, keys: Iterable[str], phrases: Any, lead: Node | None = None) -> Node:
    """One of the keys, as a part of an order."""
    nodes = []
    for key in keys:
        if not phrases.get(key):
            continue
        said = _any(phrases[key])
        whole = said if lead is None else seq(lead, said)
        nodes.append(Act(whole, lambda *_, key=key: (field, key)))
    return Alt(tuple(nodes))


def _of_a_hand_bender(size: str) -> bool:
    """Sizes over two inches and those in millimeters are said with their kind of conduit in one breath: "a three inch
    offset" is one of that rise."""
    return not size.endswith("mm") and sum(map(Fraction, size.split())) <= 2


def _side(sides: tuple[str, ...], labeled: bool, lexicon: Lexicon) -> Node:
    """Which way it goes; `labeled` by more than the one word, for "right" is a yes too."""
    choices, siding = lexicon.choices, _any(lexicon.siding)
    if not labeled:
        return _of("side", sides, choices, Opt(siding))
    several = {key: [one for one in choices[key] if len(one.split()) > 1] for key in sides}
    return Alt((_of("side", sides, choices, siding), _of("side", sides, several)))


def _with_unit(sizes: Mapping[str, Sequence[str]]) -> dict[str, list[str]]:
    """Only the ways to say a size that nobody takes for another number."""
    return {key: [one for one in several if " inch" in one.split("[")[0]] for key, several in sizes.items()}


def _meaning(expectation: Expectation, parts: Sequence[Any]) -> Meaning:
    """The parts as one meaning; a single answer means what it always means."""
    order = _of_its_bend(_order(parts), expectation)
    return _plain(order, expectation) or Meaning(Kind.ORDER, order)


def _of_its_bend(order: Order, expectation: Expectation) -> Order:
    """Labels mean a measure of the bend named, where they can mean several."""
    slots = next((one.slots for one in expectation.bends if one.bend == order.bend), ())
    mine = {slot.key for slot in slots}
    given = [
        replace(one, measures=tuple(key for key in one.measures if key in mine) or one.measures)
        for one in order.given
    ]
    return replace(order, given=tuple(given))


def _order(parts: Sequence[Any]) -> Order:
    """The parts put together; one that makes no sense where labels stand alone."""
    fields: dict[str, str] = {}
    given: list[Given] = []
    named: tuple[str, ...] = ()
    corrects = may_be_named = False
    for part in parts:
        if isinstance(part, Given):
            given.append(replace(part, corrects=corrects, measures=named or part.measures))
            may_be_named, named, corrects = True, (), False
        elif part == _CORRECTS and not named:
            corrects = True
        elif part[0] == "after" and may_be_named and not named:
            both = tuple(key for key in part[1] if key in given[-1].measures)
            if given[-1].measures and not both:
                return NONSENSE
            given[-1] = replace(given[-1], measures=both or part[1])
            may_be_named = False
        elif part[0] == "adjective":
            given[-1] = replace(given[-1], measures=part[1])
        elif part[0] == "before" and not named:
            named = part[1]
        elif part[0] in ("after", "before") or part == _CORRECTS or fields.get(part[0], part[1]) != part[1]:
            return NONSENSE
        else:
            fields[part[0]] = part[1]
            may_be_named = False
            corrects = corrects and part[0] != "side"
    if named or corrects:
        return NONSENSE
    return _sized(
        Order(given=tuple(given), **{_FIELDS.get(key, key): value for key, value in fields.items()}), fields
    )


def _sized(order: Order, fields: Mapping[str, str]) -> Order:
    """Nonsense where a size stands before the bend and the conduit elsewhere: that size was a number."""
    return NONSENSE if _BARE in fields and fields.keys() & {"conduit", "size"} else order


def _plain(order: Order, expectation: Expectation) -> Meaning | None:
    """What an order of one part means where that part alone is an answer."""
    if len(order.given) == 1 and order == Order(given=order.given):
        (one,) = order.given
        asked = expectation.asks if expectation.asks in one.measures else ""
        if (one.measures and not asked) or one.corrects or expectation.kind not in NUMBERS:
            return None
        slot = Slot(asked, expectation.kind, Fraction(0), Fraction(0))
        value = typed_value(one, slot, expectation.units)
        return None if value is None else Meaning(expectation.kind, value)
    if order.given:
        return None
    alone = {"bend": Kind.CHOICE, "conduit": Kind.CHOICE, "side": Kind.CHOICE, "size": Kind.SIZE}
    for field, kind in alone.items():
        key = getattr(order, field)
        if key and key in expectation.choices and order == replace(Order(), **{field: key}):
            return Meaning(kind, key)
    return None


def _any(phrases: Iterable[str]) -> Node:
    return Alt(tuple(phrase(one) for one in phrases))
