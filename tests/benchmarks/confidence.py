"""What the first recognizer's confidence is worth: the curves of its `bench.toml`, and whether they hold for others.

    python -m tests.benchmarks.confidence [--part 3] [--write models/bench-en/bench.toml]
    python -m tests.benchmarks.confidence hearing.json false_accepts.json ... [--write FILE]

Untrained people and voices (`tests.benchmarks.hearing`) and talk for others as the ears cut it
(`tests.benchmarks.false_accepts --ears auto`), at every noise level, measured now or read from the results of both.
Every second clip of what is for us and the first half of the talk make the curves, the rest is the check: of what was
heard with some confidence, how much was for us and right. Each half counts what is for us and what is not as equally
frequent. Curves are made monotonic by pooling neighbors (Ayer et al. 1955).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from bench.ears.confidence import confidences
from tests.benchmarks.calibration import Floats, balanced, cases, halves, table, write_lines

GROUPS = 10


def curve(
    values: Sequence[float], hits: Sequence[bool], weights: Sequence[float] | Floats
) -> list[tuple[float, float]]:
    """(value, how often hit), both rising. Half a trial is added to either side of each group."""
    order = np.argsort(values, kind="stable")
    pools = []
    for part in np.array_split(order, GROUPS):
        weight = np.take(weights, part)
        hit = float(np.sum(weight * np.take(hits, part)))
        pools.append([float(np.mean(np.take(values, part))), hit + 0.5, float(np.sum(weight)) + 1])
    at = 0
    while at + 1 < len(pools):
        (one, hit, many), (other, more, most) = pools[at : at + 2]
        if hit / many <= more / most:
            at += 1
            continue
        pools[at : at + 2] = [[(one * many + other * most) / (many + most), hit + more, many + most]]
        at = max(at - 1, 0)
    return [(value, hit / many) for value, hit, many in pools]


def main() -> None:
    """Print the curves and how they do."""
    args, found = cases(__doc__)
    heard = [(case, case.alone) for case in found if case.alone is not None]
    made, check = halves([case for case, _ in heard])
    rival = [case for case in made if case.alone and case.alone.fit is not None]
    fits = [case.alone.fit for case in rival if case.alone and case.alone.fit is not None]
    ours = curve(fits, [case.ours for case in rival], balanced(rival)) if fits else []
    answers = [case for case in made if case.ours]
    shares = [case.alone.shares[0] for case in answers if case.alone]
    right = [(0.0, 0.0), *curve(shares, [case.first_right for case in answers], [1.0] * len(answers))]
    lines = {
        name: "[" + ", ".join(f"[{at:.3f}, {often:.4f}]" for at, often in points) + "]"
        for name, points in (("points", right), ("fit", ours))
    }
    for name, points in lines.items():
        print(f"{name} = {points}")
    print(f"\n{len(made)} utterances made the curves; {len(check)} others check them.\n")
    sure = [confidences(case.alone, right, ours)[0] for case in check if case.alone]
    for row in table(check, [case.first_right for case in check], sure):
        print(row)
    if args.write:
        write_lines(args.write, lines)


if __name__ == "__main__":
    main()
