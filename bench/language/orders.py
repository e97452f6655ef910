"""More than one answer in a breath: which number belongs to which measure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from bench.core.lengths import MILLIMETER, THIRTY_SECOND, Units
from bench.language.meaning import Expectation, Given, Kind, Order, Slot

ADJECTIVE = "adjective"
"""The measure of "six inch offset": which one that is, the bend says. Of several pipes it can be their number."""

COUNT = "count"
"""How many pipes lie side by side."""

USUAL = 7.5
"""Degrees: the usual angles are its multiples (15, 22.5, 30, 45, 60, 90; common practice, no source)."""

NEITHER = "neither"
"""What a number measures whose labels contradict each other: nothing."""

ALONG = ("distance", "to_center", "to_edge")
"""Measures along the conduit: the longest of a bend's, as the others are across it."""

NONSENSE = Order(fault="nonsense")
"""What no measure can be made of, such as a label without its number."""

Value = Fraction | float | int


def values_of(order: Order, expectation: Expectation) -> Mapping[str, Value] | None:
    """The measures of an order with their values, None when one of its numbers or its side belongs to none.

    Labels first; then each number without one is the first measure that is still missing.
    """
    if order == NONSENSE:
        return None
    if order.fault:
        return {}
    if order.side and expectation.bends and not (order.bend or expectation.slots):
        return None
    slots, adjective = _slots(order, expectation)
    called = (adjective, *(slot.key for slot in slots if slot.kind is Kind.COUNT and slot.key == COUNT))
    given = [_with_adjective(one, called) for one in order.given]
    labeled = _labeled(given, slots)
    if labeled is None or (expectation.kind is Kind.YESNO and not order.bend and "" in labeled):
        return None
    labeled = [
        labeled[at + 1] if put_right and not key else key
        for at, (key, put_right) in enumerate(zip(labeled, _put_right(given), strict=True))
    ]
    known = {slot.key for slot in slots if slot.known and not order.bend}
    keys = _all_named(given, labeled, slots, known)
    values: dict[str, Value] = {}
    for one, key in zip(given, keys, strict=True):
        value = typed_value(one, next((slot for slot in slots if slot.key == key), None), expectation.units)
        if value is None:
            return None
        values[key] = value
    return values


def out_of_range(order: Order, expectation: Expectation) -> tuple[Slot, Value] | None:
    """The first measure of an order that is not plausible, with its value."""
    return _outside(values_of(order, expectation) or {}, order, expectation)


def _outside(
    values: Mapping[str, Value], order: Order, expectation: Expectation
) -> tuple[Slot, Value] | None:
    slots = {slot.key: slot for slot in _slots(order, expectation)[0]}
    for key, value in values.items():
        if not slots[key].least <= Fraction(value) <= slots[key].most:
            return slots[key], value
    return None


def unlikely(order: Order, expectation: Expectation) -> tuple[float, ...] | None:
    """How unlikely it is that words which can mean this order do: of two readings the lesser is meant. None for an
    order that makes no sense (`values_of`).

    What neither tape nor bender shows ("three point sixty" is no number); one that is implausible; one in which a
    measure is missing or a number has no label; one of more numbers ("thirty-one and a quarter two and a half" is
    two); a conduit without its size; numbers without a label ("at forty rise six": the rise is six); one whose
    measure along the conduit is not its longest; a fraction alone ("at fifty two and a half up" is fifty); an angle
    that is not usual.
    """
    values = values_of(order, expectation)
    if values is None:
        return None
    last = [one for one, again in zip(order.given, _put_right(order.given), strict=True) if not again]
    bare = sum(not one.measures for one in last)
    needed = {slot.key for slot in _slots(order, expectation)[0] if slot.asked and not slot.optional}
    lengths = [one for one in values.values() if isinstance(one, Fraction)]
    along = [one for key, one in values.items() if key in ALONG]
    inches = expectation.units is Units.INCH
    odd = inches and any(Fraction(one).limit_denominator(1000) % THIRTY_SECOND for one in values.values())
    return (
        odd,
        _outside(values, order, expectation) is not None,
        bool(bare or not needed <= set(values)),
        len(last),
        bool(order.conduit and not order.size),
        bare,
        bool(along) and max(lengths) > max(along),
        sum(one < 1 for one in lengths),
        sum(isinstance(one, float) and one % USUAL > 0 for one in values.values()),
    )


def _put_right(given: Sequence[Given]) -> list[bool]:
    """Of each number, whether the next one is said in its place."""
    return [*(one.corrects for one in given[1:]), False][: len(given)]


def _slots(order: Order, expectation: Expectation) -> tuple[Sequence[Slot], str]:
    if not order.bend:
        return expectation.slots, ""
    named = next(one for one in expectation.bends if one.bend == order.bend)
    return named.slots, named.adjective


def _with_adjective(given: Given, called: tuple[str, ...]) -> Given:
    return replace(given, measures=called) if given.measures == (ADJECTIVE,) else given


def _labeled(given: Sequence[Given], slots: Sequence[Slot]) -> list[str] | None:
    """The measure that each label names, "" without one; None for a label of no measure of this bend, and for one of a
    measure that has its number already.

    Labels that can name one measure alone come first: "between" is the spacing where the distance is said. Of several
    that can be along the conduit or across it, only the longest is along it.
    """
    fits = [[slot.key for slot in slots if slot.key in one.measures] for one in given]
    found = [""] * len(given)
    lengths = {slot.key for slot in slots if slot.kind is Kind.LENGTH}
    longest = max(
        (one.value for one, keys in zip(given, fits, strict=True) if not keys or lengths & {*keys}), default=0
    )
    for at in sorted(range(len(given)), key=lambda at: len(fits[at])):
        if not given[at].measures:
            continue
        unsaid = [key for key in fits[at] if key not in found] or fits[at] * given[at].corrects
        if not unsaid:
            return None
        if len(unsaid) > 1 and given[at].value < longest:
            unsaid = [key for key in unsaid if key not in ALONG]
        found[at] = unsaid[0]
    return found


def _all_named(
    given: Sequence[Given], labeled: Sequence[str], slots: Sequence[Slot], known: set[str]
) -> list[str]:
    """The measure of every number, "" where there is none left for it.

    Those without a label are the first ones missing; a number that corrects is the measure before it.
    """
    missing = [slot for slot in slots if slot.asked and slot.key not in known and slot.key not in labeled]
    bare = sum(not key and not one.corrects for one, key in zip(given, labeled, strict=True))
    needed = [slot for slot in missing if not slot.optional]
    free = iter(needed if bare <= len(needed) else missing)
    found: list[str] = []
    for one, key in zip(given, labeled, strict=True):
        if not key and one.corrects and found:
            key = found[-1]
        found.append(key or next((slot.key for slot in free), ""))
    return found


def typed_value(given: Given, slot: Slot | None, units: Units) -> Value | None:
    """The number as its measure takes it, None when it cannot be one."""
    if slot is None or (given.kind is not slot.kind and given.kind is not Kind.LENGTH):
        return None
    if slot.kind is Kind.LENGTH:
        return given.value
    number = given.value
    if given.kind is Kind.LENGTH and units is Units.METRIC:
        number /= MILLIMETER
    if slot.kind is Kind.ANGLE:
        return float(number)
    return int(number) if number.denominator == 1 else None
