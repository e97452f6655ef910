"""One bend as an SVG drawing: the marked stick above, the finished shape below."""

from __future__ import annotations

from reportlab.graphics.shapes import Drawing, Group, Rect
from reportlab.lib.colors import white

from bench.core.bender import Setup
from bench.core.lengths import Units
from bench.core.plan import Plan
from bench.core.simulate import simulate
from bench.sheet.blocks import legend_block, stacked
from bench.sheet.document import svg_text
from bench.sheet.finished_drawing import finished_block
from bench.sheet.straight import straight_block

_WIDTH, _HEIGHT, _EDGE = 640.0, 200.0, 16.0


def plan_svg(plan: Plan, setup: Setup, units: Units = Units.INCH) -> str:
    """The plan drawn to scale: every mark on the straight stick, and the simulated shape."""
    path = simulate(plan.marks, setup.bender, float(plan.cut or setup.stick_length))
    block = stacked(
        [
            straight_block(setup.stick_length, plan.marks, plan.cut, units, _WIDTH),
            finished_block(path, setup.od, units, _WIDTH, _HEIGHT),
            legend_block(_WIDTH),
        ],
        gap=12,
    )
    height = block.height + 2 * _EDGE
    drawing = Drawing(_WIDTH + 2 * _EDGE, height)
    drawing.add(Rect(0, 0, drawing.width, height, fillColor=white, strokeColor=None))
    drawing.add(Group(*block.shapes, transform=(1, 0, 0, 1, _EDGE, height - _EDGE)))
    return svg_text(drawing)
