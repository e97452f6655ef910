"""What the parts of an order come to when they are put together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

from bench.language.meaning import NUMBERS, Expectation, Given, Kind, Meaning, Order, Slot
from bench.language.order_parts import BARE, CORRECTS
from bench.language.orders import NONSENSE, typed_value

_FIELDS = {BARE: "size"}


def meaning_of(expectation: Expectation, parts: Sequence[Any]) -> Meaning:
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
        elif part == CORRECTS and not named:
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
        elif part[0] in ("after", "before") or part == CORRECTS or fields.get(part[0], part[1]) != part[1]:
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
    return NONSENSE if BARE in fields and fields.keys() & {"conduit", "size"} else order


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
