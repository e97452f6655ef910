"""What the confidence of two recognizers is worth: its weights, and whether they hold for what they were not fitted to.

    python -m tests.benchmarks.joint_confidence [--part 3] [--write models/second/bench.toml]
    python -m tests.benchmarks.joint_confidence hearing.json false_accepts.json ... [--write FILE]

Untrained people and voices (`tests.benchmarks.hearing`) and talk for others as the ears cut it
(`tests.benchmarks.false_accepts --ears auto`), at every noise level, measured now or read from the results of both.
Every second clip of what is for us and the first half of the talk fit the weights (logistic regression, a little
ridge), the rest is the check: of what was heard with some confidence, how much was for us and right. Both halves count
what is for us and what is not as equally frequent. `--write` puts the two lines into `[confidence]`.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.optimize import minimize

from tests.benchmarks.calibration import Case, Floats, balanced, cases, halves, table, write_lines

RIDGE = 0.02
ALONE = 2
"""Of the features, those of the second recognizer."""


def design(cases: Sequence[Case], features: int) -> Floats:
    """A row for each case: its first features and a one."""
    return np.array([[*case.joint[:features], 1.0] for case in cases])


def fitted(cases: Sequence[Case], features: int) -> Floats:
    """The maximum-likelihood weights."""
    rows, weights = design(cases, features), balanced(cases)
    signs = np.array([1.0 if case.both_right else -1.0 for case in cases])

    def cost(slopes: Floats) -> float:
        loss = weights @ np.logaddexp(0, -signs * (rows @ slopes))
        return float(loss + RIDGE * (slopes[:-1] ** 2).sum())

    found: Floats = minimize(cost, np.zeros(rows.shape[1]), method="BFGS").x
    return found


def chances(cases: Sequence[Case], weights: Floats) -> Floats:
    """The confidence of each case."""
    found: Floats = 1 / (1 + np.exp(-design(cases, len(weights) - 1) @ weights))
    return found


def main() -> None:
    """Print the weights and how they do."""
    args, found = cases(__doc__)
    made, check = halves([case for case in found if case.joint])
    lines = {}
    for name, features in (("both", len(made[0].joint)), ("alone", ALONE)):
        weights = fitted(made, features)
        lines[name] = "[" + ", ".join(f"{one:.3f}" for one in weights) + "]"
        print(f"\n{name} = {lines[name]}")
        print(f"{len(made)} utterances made them; {len(check)} others check them.\n")
        for row in table(check, [case.both_right for case in check], chances(check, weights)):
            print(row)
    if args.write:
        write_lines(args.write, lines)


if __name__ == "__main__":
    main()
