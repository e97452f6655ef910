"""How fast plans are worked out, and how far rule-of-thumb marks land off: two tables in markdown.

python tests/benchmarks/plans.py
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction as F

from bench.core.bends import work_out
from bench.core.notes import BenchError
from bench.core.plan import Finished, Method
from bench.data import tables

Measures = Mapping[str, F | float | int]

BENDS: tuple[tuple[str, str, Measures], ...] = (
    ("offset 4 in., 30°", "offset", {"distance": F(48), "rise": F(4), "angle": 30.0}),
    ("offset 8 in., 45°", "offset", {"distance": F(48), "rise": F(8), "angle": 45.0}),
    ("saddle 2 in., 22½°", "saddle3", {"to_center": F(48), "height": F(2), "angle": 22.5}),
    ("saddle 4 in., 22½°", "saddle3", {"to_center": F(48), "height": F(4), "angle": 22.5}),
    ("saddle 3 in., 15°", "saddle3", {"to_center": F(48), "height": F(3), "angle": 15.0}),
    ("saddle 4 in., 30°", "saddle3", {"to_center": F(48), "height": F(4), "angle": 30.0}),
    (
        "four-point 3 x 6 in., 30°",
        "saddle4",
        {"to_edge": F(48), "height": F(3), "width": F(6), "angle": 30.0},
    ),
    ("kick 4 in., 30°", "kick", {"distance": F(48), "rise": F(4), "angle": 30.0}),
)
JOBS = tuple((size, *bend) for size in ("1/2", "3/4", "1") for bend in BENDS)


def main() -> None:
    """Print both tables."""
    print("| EMT | job | by the book: height / crown / legs | bender-true: height / crown / legs |")
    print("|---|---|---|---|")
    for size, name, kind, measures in JOBS:
        book, true = (_off(size, kind, measures, method) for method in (Method.BOOK, Method.TRUE))
        print(f"| {size} | {name} | {book} | {true} |")
    print("\n| plan with simulation | median ms | slowest of 200 |\n|---|---|---|")
    for name, kind, measures in _timed():
        times = sorted(_times(lambda k=kind, m=measures: work_out(k, m, tables.setup()), 200))  # type: ignore[misc]
        print(f"| {name} | {statistics.median(times):.2f} | {times[-1]:.2f} |")
    fifty = [work for _, kind, measures in _timed() for work in [(kind, measures)] * 10][:50]
    took = _times(lambda: [work_out(kind, measures, tables.setup()) for kind, measures in fifty], 3)
    print(f"| run of 50 bends | {statistics.median(took):.1f} | {max(took):.1f} |")


def _off(size: str, kind: str, measures: Measures, method: Method) -> str:
    try:
        finished = work_out(kind, measures, tables.setup("emt", size), method).chosen.finished
    except BenchError as error:
        return f"cannot be made: {error.code.replace('_', ' ')}"
    return " / ".join(_deviations(finished, measures))


def _deviations(finished: Finished, measures: Measures) -> Iterator[str]:
    wanted = float(measures.get("rise", measures.get("height", 0)))
    middle = measures.get("to_center", measures.get("to_edge", 0) + F(measures.get("width", 0)) / 2)
    yield f"{(finished.rise or 0.0) - wanted:+.2f}"
    if finished.crown_at is not None:
        yield f"{finished.crown_at - float(middle):+.2f}"
        yield f"{finished.legs_out_of_line or 0.0:.2f}"


def _timed() -> tuple[tuple[str, str, Measures], ...]:
    return (
        ("three-point saddle", "saddle3", {"to_center": F(40), "height": F(3), "angle": 22.5}),
        (
            "three-point saddle that fouls its box",
            "saddle3",
            {"to_center": F(40), "height": F(3), "width": F(6)},
        ),
        ("four-point saddle", "saddle4", {"to_edge": F(40), "height": F(3), "width": F(6)}),
        ("offset", "offset", {"distance": F(40), "rise": F(6)}),
        ("stub", "stub", {"height": F(12)}),
    )


def _times(work: Callable[[], object], rounds: int) -> list[float]:
    taken = []
    for _ in range(rounds):
        begun = time.perf_counter()
        work()
        taken.append((time.perf_counter() - begun) * 1000)
    return taken


if __name__ == "__main__":
    main()
