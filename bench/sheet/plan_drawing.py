"""One bend as an SVG drawing: the marked stick, the finished shape below it, and the bender at each bend."""

from __future__ import annotations

import math

from reportlab.graphics.shapes import Drawing, Rect
from reportlab.lib.colors import white

from bench.core.bender import Setup
from bench.core.bends import BENDS
from bench.core.floor import airborne
from bench.core.lengths import Units
from bench.core.plan import Plan
from bench.core.simulate import simulate
from bench.sheet.drawing import Block, moved, stacked, words
from bench.sheet.figures import built
from bench.sheet.finished_shape import finished_shape
from bench.sheet.legend import legend
from bench.sheet.marked_stick import marked_stick
from bench.sheet.seat_drawings import seat_drawings
from bench.sheet.svg import svg_text

_WIDTH, _HEIGHT, _EDGE = 640.0, 200.0, 16.0
_PLACE, _SEATS = 16.0, 100.0


def plan_svg(plan: Plan, setup: Setup, units: Units = Units.INCH) -> str:
    """The plan to scale as SVG: every mark on the straight stick, and the simulated shape."""
    path = simulate(plan.marks, setup.bender, float(plan.cut or setup.stick_length))
    pipe = f"{built(setup.stick_length, units)} of {setup.conduit.size} {setup.conduit.kind.upper()}"
    air = airborne(plan.marks, setup.bender, float(setup.stick_length))
    seats = seat_drawings(plan.in_order, air, setup.bender, float(setup.stick_length), _WIDTH, _SEATS)
    block = stacked(
        [
            Block(
                16,
                (
                    words(0, -12, BENDS[plan.bend].name.capitalize(), 14, bold=True),
                    words(_WIDTH, -12, pipe, anchor="end"),
                ),
            ),
            marked_stick(setup.stick_length, plan.marks, plan.cut, units, setup.scale, _WIDTH, _PLACE),
            finished_shape(path, setup.od, units, _WIDTH, _HEIGHT),
            *((seats,) if seats.height else ()),
            legend(_WIDTH),
        ],
        gap=12,
    )
    height = math.ceil(block.height + 2 * _EDGE)
    drawing = Drawing(_WIDTH + 2 * _EDGE, height)
    drawing.add(Rect(0, 0, drawing.width, height, fillColor=white, strokeColor=None))
    drawing.add(moved(block, _EDGE, height - _EDGE))
    return svg_text(drawing)
