"""A small system of linear equations: a bend has a few checks, too few to want arrays."""

from __future__ import annotations

from collections.abc import Sequence

Row = Sequence[float]


def solve(matrix: Sequence[Row], right: Row) -> list[float]:
    """x of matrix x = right, by elimination with the largest pivot. Raises ZeroDivisionError when there is none."""
    rows = [[*row, value] for row, value in zip(matrix, right, strict=True)]
    size = len(rows)
    for column in range(size):
        best = max(range(column, size), key=lambda row: abs(rows[row][column]))
        rows[column], rows[best] = rows[best], rows[column]
        for row in range(column + 1, size):
            factor = rows[row][column] / rows[column][column]
            for at in range(column, size + 1):
                rows[row][at] -= factor * rows[column][at]
    found = [0.0] * size
    for row in reversed(range(size)):
        known = sum(rows[row][at] * found[at] for at in range(row + 1, size))
        found[row] = (rows[row][size] - known) / rows[row][row]
    return found


def dot(a: Row, b: Row) -> float:
    """Sum of the products."""
    return sum(x * y for x, y in zip(a, b, strict=True))
