"""Calibrated confidence from the scores of an n-best list."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

Curve = Sequence[tuple[float, float]]
"""Points of evidence and chance, the evidence rising; straight between them and level beyond the ends."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """What speaks for the readings of one utterance.

    `shares` of the readings among each other, 0 to 1 in sum, best first. `fit`, where there is a rival: the log
    likelihood of the best reading less that of any sounds of speech at all, for each second.
    """

    shares: tuple[float, ...]
    fit: float | None = None


def shares(scores: Sequence[float], scale: float) -> list[float]:
    """Each reading's share, 0 to 1 in sum: the softmax of its score (a log likelihood) times `scale`."""
    best = max(scores, default=0.0)
    weights = [math.exp(scale * (score - best)) for score in scores]
    return [weight / sum(weights) for weight in weights]


def calibrated(value: float, points: Curve) -> float:
    """A value through a calibration curve."""
    below = max((point for point in points if point[0] <= value), default=min(points))
    above = min((point for point in points if point[0] >= value), default=max(points))
    if above[0] == below[0]:
        return above[1]
    return below[1] + (above[1] - below[1]) * (value - below[0]) / (above[0] - below[0])


def confidences(evidence: Evidence, right: Curve, ours: Curve) -> tuple[float, ...]:
    """The confidence of each reading: that it was for us (`ours`), times that this one is right (`right`).

    What is left of certainty by the best reading is divided among the others by their shares, so together their sum
    never exceeds the chance that it was for us.
    """
    meant = 1.0 if evidence.fit is None or not ours else calibrated(evidence.fit, ours)
    first, *others = evidence.shares
    best = calibrated(first, right)
    rest = (1 - best) / sum(others) if others else 0.0
    return (meant * best, *(meant * min(rest * share, best) for share in others))
