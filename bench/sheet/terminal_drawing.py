"""Draws one bend in terminal characters: the marked stick, the finished shape in quarter blocks, and a legend."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from bench.core.bender import Setup
from bench.core.lengths import Units, angle_text, text
from bench.core.plan import Hook, Mark, Plan, Reference
from bench.core.simulate import simulate
from bench.pictures.views import Silhouette, side_view
from bench.sheet.figures import POINTS, built

_SIGNS = {Reference.ARROW: "▼", Reference.NOTCH: "◆", Reference.STAR: "★"}
_HOOKS = {Hook.TAPE_END: (-1, "←"), Hook.AWAY: (1, "→")}
_MARK, _CUT = "╪", "┊"
_QUARTERS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""Quarter blocks by filled quarters: 1 upper left, 2 upper right, 4 lower left, 8 lower right."""
_MOST_ROWS = 12
_MOST_LABEL_ROWS = 4
"""Most rows of labels. More would be harder to read than numbers alone with the list below."""

Label = tuple[int, str]
"""The column of a mark and the text below it."""


def stick_drawing(plan: Plan, setup: Setup, width: int = 80, units: Units = Units.INCH) -> str:
    """The plan in lines of at most `width` characters: the marked stick to scale, its finished shape, and a legend of
    the signs used."""
    length = setup.stick_length
    path = simulate(plan.marks, setup.bender, float(plan.cut or length))
    lines = [
        _ends(length, width, units),
        *_stick(plan.marks, length, plan.cut, width, setup.scale, units),
        "",
    ]
    lines += [*_shape(side_view(path), width), "", *legend(plan.marks, plan.cut, width)]
    return "\n".join(line.rstrip() for line in lines)


def legend(marks: Sequence[Mark], cut: Fraction | None, width: int) -> list[str]:
    """The meaning of the signs on this stick, in lines of at most `width` characters."""
    used = {mark.reference for mark in marks}
    entries = [f"{sign} {POINTS[point]}" for point, sign in _SIGNS.items() if point in used]
    if any(mark.hook in _HOOKS for mark in marks):
        entries.append("← → hook faces this way")
    entries.append(f"{_MARK} mark")
    if cut is not None:
        entries.append(f"{_CUT} cut")
    lines: list[str] = []
    for entry in entries:
        if lines and len(lines[-1]) + 3 + len(entry) <= width:
            lines[-1] += f"   {entry}"
        else:
            lines.append(entry)
    return lines


def _ends(length: Fraction, width: int, units: Units) -> str:
    far = f"{built(length, units)} stick"
    return f"tape end{far:>{width - 8}}"


def _stick(
    marks: Sequence[Mark], length: Fraction, cut: Fraction | None, width: int, scale: Fraction, units: Units
) -> list[str]:
    """The signs of the bender's points and hooks, the pipe, and the labels below it."""
    columns = [_column(mark.at, length, width) for mark in marks]
    pipe = ["╞", *"═" * (width - 2), "╡"]
    for column in columns:
        pipe[column] = _MARK
    full = [
        (column, f"{mark.name}: {text(mark.at, units, scale)} {angle_text(mark.bend)}")
        for mark, column in zip(marks, columns, strict=True)
    ]
    short = [(column, mark.name) for mark, column in zip(marks, columns, strict=True)]
    if cut is not None:
        column = _column(cut, length, width)
        pipe[column] = _CUT
        full.append((column, f"cut {text(cut, units, scale)}"))
        short.append((column, "cut"))
    rows = _label_rows(full, width)
    return [
        _signs(marks, columns, width),
        "".join(pipe),
        *(rows if len(rows) <= _MOST_LABEL_ROWS else _label_rows(short, width)),
    ]


def _signs(marks: Sequence[Mark], columns: Sequence[int], width: int) -> str:
    """The bender's point above each mark, with the hook beside it if the cell is free."""
    row = [" "] * width
    for mark, column in zip(marks, columns, strict=True):
        row[column] = _SIGNS[mark.reference]
    for mark, column in zip(marks, columns, strict=True):
        aside, sign = _HOOKS.get(mark.hook, (0, ""))
        if sign and 0 <= column + aside < width and row[column + aside] == " ":
            row[column + aside] = sign
    return "".join(row)


def _label_rows(labels: Sequence[Label], width: int) -> list[str]:
    """Labels centered below their marks, each in the first row where it touches no other."""
    rows: list[list[str]] = []
    for column, label in sorted(labels):
        start = max(0, min(column - len(label) // 2, width - len(label)))
        row = next(
            (row for row in rows if not "".join(row[max(0, start - 2) : start + len(label) + 1]).strip()),
            None,
        )
        if row is None:
            row = [" "] * width
            rows.append(row)
        row[start : start + len(label)] = label[: width - start]
    return ["".join(row) for row in rows]


def _shape(view: Silhouette, width: int) -> list[str]:
    """The silhouette in quarter blocks. A quarter is half as wide as it is high, so x is doubled."""
    left, low, right, high = view.box
    scale = min((width - 1) / max(right - left, 1.0), (_MOST_ROWS - 1) * 2 / max(high - low, 1.0))
    rows = int((high - low) * scale / 2) + 1
    filled = {(round((x - left) * scale * 2), round((high - y) * scale)) for x, y in _along(view, scale)}
    return ["".join(_quarter(filled, column, row) for column in range(width)) for row in range(rows)]


def _along(view: Silhouette, scale: float) -> Iterator[tuple[float, float]]:
    """Points along the silhouette, so close that no quarter between them stays empty."""
    for (x, y), (to_x, to_y) in pairwise(view.points):
        steps = max(1, int(max(abs(to_x - x) * 2, abs(to_y - y)) * scale * 2))
        yield from ((x + (to_x - x) * n / steps, y + (to_y - y) * n / steps) for n in range(steps + 1))


def _quarter(filled: set[tuple[int, int]], column: int, row: int) -> str:
    corners = ((0, 0), (1, 0), (0, 1), (1, 1))
    return _QUARTERS[
        sum(1 << n for n, (x, y) in enumerate(corners) if (column * 2 + x, row * 2 + y) in filled)
    ]


def _column(at: Fraction, length: Fraction, width: int) -> int:
    return max(0, min(width - 1, round(float(at / length) * (width - 1))))
