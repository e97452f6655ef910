"""Orders: several answers in one breath, and what they lead to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from bench.core.lengths import MILLIMETER, Units
from bench.core.notes import Note
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Turn
from bench.dialogue.stages import ask, pick, progress, readings, set_up
from bench.dialogue.state import Place, Stage, State
from bench.job.model import JobBend, Number, Tools
from bench.language.meaning import Expectation, Kind, Meaning, Order
from bench.language.orders import Value, out_of_range, values_of
from bench.language.speak import spoken_size, spoken_value


def taken(state: State, order: Order, expect: Expectation, knowledge: Knowledge) -> Turn:
    """What an order leads to: every value is read back before it is used, what is missing is asked."""
    values = values_of(order, expect)
    if values is None:
        return Turn(state, (knowledge.note("again"),))
    if order.fault:
        return _found_off(state, order, expect, knowledge)
    if not (order.bend or order.conduit or order.size or order.bender):
        return ask.given_together(state, values, order.side, knowledge)
    if order.conduit or order.size or order.bender or not state.now.tools.complete:
        return _set_up(state, order, values, knowledge)
    if state.now.stage is Stage.WORK:
        return _with_bend(progress.further_bend(state, knowledge), order, values, knowledge)
    if state.now.stage is Stage.BENDER:
        return _with_bend(set_up.set_up(state, None, (), knowledge), order, values, knowledge)
    return pick.begun(state, order.bend, values, order.side, knowledge)


def _found_off(state: State, order: Order, expect: Expectation, knowledge: Knowledge) -> Turn:
    """A fault with its amount, a length or degrees as the fault has it."""
    value: Number = order.given[0].value
    if order.fault in readings.DEGREES or (order.fault in readings.OF_THIS and expect.kind is Kind.ANGLE):
        value = float(value / MILLIMETER if expect.units is Units.METRIC else value)
    return readings.found_off(state, order.fault, value, knowledge)


def unfit(order: Order, expect: Expectation, knowledge: Knowledge) -> Note | None:
    """The message for the first measure out of range; None when all are in range."""
    found = out_of_range(order, expect)
    if found is None:
        return None
    slot, value = found
    return knowledge.note(
        "out_of_range", heard=value, least=_as(slot.kind, slot.least), most=_as(slot.kind, slot.most)
    )


def described(order: Order, expect: Expectation, knowledge: Knowledge) -> str:
    """An order in words, to be offered."""
    parts = [knowledge.word(part) for part in (order.conduit, order.bender) if part]
    if order.size:
        parts.insert(0, spoken_size(order.size))
    if order.bend:
        parts.append(knowledge.flows[order.bend].name)
    values = values_of(order, expect) or {}
    parts += [
        f"{knowledge.questions[key].label} {spoken_value(value, expect.units)}"
        for key, value in values.items()
    ]
    if order.fault:
        parts.append(f"{order.fault.replace('_', ' ')} {spoken_value(order.given[0].value, expect.units)}")
    return ", ".join(parts)


def _set_up(state: State, order: Order, values: Mapping[str, Value], knowledge: Knowledge) -> Turn:
    """Conduit, size and bender as said, those not said as they are; the first one missing is asked."""
    place = state.now
    only_size = order == Order(size=order.size, conduit=order.conduit)
    here = place.stage is Stage.SIZE and order.conduit in ("", place.tools.conduit)
    if only_size and here and order.size in knowledge.sizes(place.tools.conduit):
        return set_up.size_take(state, Meaning(Kind.SIZE, order.size), knowledge)
    tools = _tools(place, order)
    fresh, records = set_up.put_away(place) if place.stick.bends and tools != place.tools else (place, ())
    comes = not tools.conduit or tools.size in knowledge.sizes(tools.conduit)
    asked = tools if comes else replace(tools, size="")
    fresh = replace(fresh, tools=asked, bend=JobBend(), changing=False)
    if order.bend:
        fresh = replace(fresh, bend=pick.bend_of(order.bend, values, knowledge))
    stage = _still_missing(replace(state, now=fresh), order, knowledge)
    said = set_up.tools_said(tools, knowledge) or knowledge.flows[order.bend].name.capitalize()
    lead = Note("set_up", f"{said}.")
    if stage is not None:
        return Turn(state.moved(replace(fresh, stage=stage)), (lead,), records)
    profile = set_up.profile_for(replace(state, now=fresh)) if order.bender == "mine" else tools.profile
    moved = state.moved(fresh)
    turn = set_up.set_up(replace(moved, past=state.past, now=fresh), profile, (lead,), knowledge)
    return replace(turn, state=replace(turn.state, past=moved.past), records=(*records, *turn.records))


def _with_bend(turn: Turn, order: Order, values: Mapping[str, Value], knowledge: Knowledge) -> Turn:
    begun = pick.begun(turn.state, order.bend, values, order.side, knowledge)
    state = replace(begun.state, past=turn.state.past)
    return replace(
        begun, state=state, lead=(*turn.lead, *begun.lead), records=(*turn.records, *begun.records)
    )


def _tools(place: Place, order: Order) -> Tools:
    """The tools after the order. Another conduit or size needs its own bender."""
    conduit = order.conduit or place.tools.conduit
    other = conduit != place.tools.conduit
    size = order.size or ("" if other and place.tools.conduit else place.tools.size)
    same = (conduit, size) == (place.tools.conduit, place.tools.size)
    return Tools(conduit, size, place.tools.profile if same and order.bender != "typical" else None)


def _still_missing(state: State, order: Order, knowledge: Knowledge) -> Stage | None:
    """The question of the set-up still to be asked."""
    tools = state.now.tools
    if not tools.conduit:
        return Stage.CONDUIT
    if tools.size not in knowledge.sizes(tools.conduit):
        return Stage.SIZE
    mine = set_up.profile_for(state)
    if order.bender == "mine" and mine is None:
        return Stage.BENDER
    return Stage.BENDER if mine is not None and not order.bender and tools.profile is None else None


def _as(kind: Kind, value: Fraction) -> Number:
    if kind is Kind.LENGTH:
        return value
    return float(value) if kind is Kind.ANGLE else int(value)
