"""One bend in terminal characters: the stick with its marks, and the finished shape in solid quarter
blocks."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from bench.core.bender import Setup
from bench.core.lengths import Units, angle_text, text
from bench.core.plan import Hook, Mark, Plan, Reference
from bench.core.simulate import simulate
from bench.sheet.views import Silhouette, side_view

_SIGNS = {Reference.ARROW: "▼", Reference.NOTCH: "◆", Reference.STAR: "★"}
_HOOKS = {Hook.TAPE_END: ("←", ""), Hook.AWAY: ("", "→"), Hook.EITHER: ("", "")}
_QUARTERS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""Quarter blocks by which quarters are filled: 1 upper left, 2 upper right, 4 lower left, 8 lower right."""
_MOST_ROWS = 12


def stick_drawing(plan: Plan, setup: Setup, width: int = 80, units: Units = Units.INCH) -> str:
    """The plan in lines no wider than `width` characters: the marked stick to scale, then the shape it
    makes."""
    length = setup.stick_length
    path = simulate(plan.marks, setup.bender, float(plan.cut or length))
    lines = [_ends(length, width, units), *_stick(plan.marks, length, plan.cut, width, units), ""]
    return "\n".join(line.rstrip() for line in (*lines, *_shape(side_view(path), width)))


def _ends(length: Fraction, width: int, units: Units) -> str:
    far = f"{text(length, units)} stick"
    return f"tape end{far:>{width - 8}}"


def _stick(
    marks: Sequence[Mark], length: Fraction, cut: Fraction | None, width: int, units: Units
) -> list[str]:
    """Signs of the bender's points and hooks, the pipe, and the labels under it in as many rows as they
    need."""
    columns = [_column(mark.at, length, width) for mark in marks]
    signs, pipe = [" "] * width, ["═"] * width
    pipe[0], pipe[-1] = "╞", "╡"
    if cut is not None:
        pipe[_column(cut, length, width)] = "┊"
    for mark, column in zip(marks, columns, strict=True):
        pipe[column] = "╪"
        before, after = _HOOKS[mark.hook]
        _put(signs, column - len(before), before + _SIGNS[mark.reference] + after)
    labels = [f"{mark.name}: {text(mark.at, units)} {angle_text(mark.bend)}" for mark in marks]
    if cut is not None:
        columns, labels = [*columns, _column(cut, length, width)], [*labels, f"cut {text(cut, units)}"]
    return ["".join(signs), "".join(pipe), *_label_rows(columns, labels, width)]


def _label_rows(columns: Sequence[int], labels: Sequence[str], width: int) -> list[str]:
    """Each label centered under its mark, in the first row where it does not touch another."""
    rows: list[list[str]] = []
    for column, label in sorted(zip(columns, labels, strict=True)):
        start = max(0, min(column - len(label) // 2, width - len(label)))
        row = next(
            (row for row in rows if not "".join(row[max(0, start - 2) : start + len(label)]).strip()), None
        )
        if row is None:
            row = [" "] * width
            rows.append(row)
        _put(row, start, label)
    return ["".join(row) for row in rows]


def _shape(view: Silhouette, width: int) -> list[str]:
    """The silhouette in quarter blocks; a quarter is half as wide as it is high, so x counts double."""
    left, low, right, high = view.box
    scale = min((width - 1) / max(right - left, 1.0), (_MOST_ROWS - 1) * 2 / max(high - low, 1.0))
    columns, rows = width, int((high - low) * scale / 2) + 1
    filled: set[tuple[int, int]] = set()
    for (x, y), (to_x, to_y) in pairwise(view.points):
        steps = max(1, int(max(abs(to_x - x) * 2, abs(to_y - y)) * scale * 2))
        for step in range(steps + 1):
            part = step / steps
            across = (x + (to_x - x) * part - left) * scale
            down = (high - y - (to_y - y) * part) * scale
            filled.add((round(across * 2), round(down)))
    return ["".join(_quarter(filled, column, row) for column in range(columns)) for row in range(rows)]


def _quarter(filled: set[tuple[int, int]], column: int, row: int) -> str:
    corners = ((0, 0), (1, 0), (0, 1), (1, 1))
    return _QUARTERS[
        sum(1 << n for n, (x, y) in enumerate(corners) if (column * 2 + x, row * 2 + y) in filled)
    ]


def _column(at: Fraction, length: Fraction, width: int) -> int:
    return max(0, min(width - 1, round(float(at / length) * (width - 1))))


def _put(row: list[str], start: int, said: str) -> None:
    for offset, letter in enumerate(said):
        if 0 <= start + offset < len(row):
            row[start + offset] = letter
