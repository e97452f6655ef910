"""Stage 5: what a reading's share says about its being right. `python -m models.calibrate --voices held-out.zip`

Prints the `points` of `bench.toml`: shares of held-out trials and of talk for others, clean and in noise, in groups of
like size, each with how often its trials were right, made monotonic by pooling neighbours (Ayer et al. 1955).
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from models.corpus import HERE
from models.measure import listen, noisy, tests

SETS = ("digits", "commands", "whole measurements", "talk left alone")


def curve(shares: Sequence[float], right: Sequence[bool], groups: int) -> list[tuple[float, float]]:
    """(share, how often right), both rising; one half trial is added to either side of each group."""
    order = np.argsort(shares, kind="stable")
    pools = [
        [float(np.mean(np.take(shares, part))), float(np.sum(np.take(right, part))), float(len(part))]
        for part in np.array_split(order, groups)
    ]
    at = 0
    while at + 1 < len(pools):
        (one, hit, many), (other, more, most) = pools[at : at + 2]
        if hit / many <= more / most:
            at += 1
            continue
        pools[at : at + 2] = [[(one * many + other * most) / (many + most), hit + more, many + most]]
        at = max(at - 1, 0)
    return [(share, (hit + 0.5) / (many + 1)) for share, hit, many in pools]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("model", type=Path, nargs="?", default=HERE / "bench-en")
    parser.add_argument("--voices", type=Path, required=True)
    parser.add_argument("--most", type=int, default=10_000, help="trials of a set at most")
    args = parser.parse_args()
    shares, right = [], []
    for test in tests(args.voices):
        if test.name not in SETS:
            continue
        chosen = test.trials[:: max(1, len(test.trials) // args.most)]
        for trials in (chosen, noisy(chosen, 6)):
            outcomes, _ = listen(args.model, test.node, trials)
            heard = [outcome for outcome in outcomes if outcome.heard.hypotheses]
            shares += [outcome.heard.confidence for outcome in heard]
            right += [outcome.right for outcome in heard]
    points = curve(shares, right, 8)
    print(len(shares), "trials heard,", sum(right), "right")
    print("points = [" + ", ".join(f"[{share:.3f}, {often:.4f}]" for share, often in points) + "]")


if __name__ == "__main__":
    main()
