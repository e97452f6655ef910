"""A plan as JSON. The keys are stable; lengths are in inches, angles in degrees."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from bench.core.bender import Bender, Setup
from bench.core.lengths import Units, text
from bench.core.plan import Finished, Layout, Mark, Plan
from bench.language.write import written

_ALWAYS = ("rise", "crown_at", "legs_out_of_line", "dogleg", "clearance")


def plan_json(plan: Plan, setup: Setup, units: Units) -> dict[str, Any]:
    """All of a plan as a JSON object."""
    other = plan.other
    return {
        "bend": plan.bend,
        "method": str(plan.chosen.method),
        "inputs": {key: number(value) for key, value in plan.inputs.items()},
        "conduit": {"kind": setup.conduit.kind, "size": setup.conduit.size, "od": number(setup.conduit.od)},
        "bender": bender_json(setup.bender),
        "marks": _marks(plan.chosen, setup, units),
        "shrink": number(plan.shrink),
        "gain": number(plan.gain),
        "developed": number(plan.developed),
        "total_degrees": number(plan.total_degrees),
        "cut": None if plan.cut is None else number(plan.cut),
        "finished": finished_json(plan.chosen.finished),
        "other_method": other and _layout(other, setup, units),
        "rack": [_neighbor(each, setup, units) for each in plan.rack],
        "advice": [written(note, units) for note in plan.advice],
        "warnings": [written(note, units) for note in plan.warnings],
    }


def bender_json(bender: Bender) -> dict[str, Any]:
    """A bender's measures and the values derived from them."""
    return {
        "name": bender.name,
        "take_up": number(bender.take_up),
        "gain": number(bender.gain),
        "radius": number(bender.radius),
        "arc_start": number(bender.arc_start),
        "star": number(bender.star),
        "notch": number(bender.notch),
        "springback": number(bender.springback),
        "hand": number(bender.hand),
        "typical": bender.typical,
    }


def finished_json(finished: Finished) -> dict[str, float | None]:
    """The measures of the finished shape: the stable keys always, others where they apply."""
    values = {key: getattr(finished, key) for key in Finished.__slots__}
    return {
        key: None if value is None else number(value)
        for key, value in values.items()
        if key in _ALWAYS or value is not None
    }


def number(value: Fraction | float | int) -> float | int:
    """A JSON number without rounding noise in the last digits."""
    rounded = round(float(value), 6)
    return int(rounded) if isinstance(value, int) else rounded + 0.0


def _layout(layout: Layout, setup: Setup, units: Units) -> dict[str, Any]:
    return {
        "method": str(layout.method),
        "marks": _marks(layout, setup, units),
        "finished": finished_json(layout.finished),
    }


def _neighbor(plan: Plan, setup: Setup, units: Units) -> dict[str, Any]:
    """Another conduit of a rack, with its own measures."""
    inputs = {key: number(value) for key, value in plan.inputs.items()}
    return {"inputs": inputs, **_layout(plan.chosen, setup, units)}


def _marks(layout: Layout, setup: Setup, units: Units) -> list[dict[str, Any]]:
    return [_mark(mark, setup, units) for mark in layout.marks]


def _mark(mark: Mark, setup: Setup, units: Units) -> dict[str, Any]:
    return {
        "name": mark.name,
        "at": number(mark.at),
        "at_text": text(mark.at, units, setup.scale),
        "reference": str(mark.reference),
        "hook": str(mark.hook),
        "bend": number(mark.bend),
        "pull": number(mark.pull),
        "roll": number(mark.roll),
        "order": mark.order,
    }
