"""Calibrated confidence from the scores of an n-best list."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

Curve = Sequence[tuple[float, float]]
"""Points (value, probability) of a calibration curve in rising order: linear between them, constant beyond the ends."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """The numbers from which the confidence of an n-best list is computed.

    `shares` are the posterior probabilities of the readings, best first. `fit` is the log likelihood ratio of the best
    reading to the background model, per second of sound; None without a background model.
    """

    shares: tuple[float, ...]
    fit: float | None = None


def shares(scores: Sequence[float], scale: float) -> list[float]:
    """Each reading's share, 0 to 1 in sum: the softmax of its score (a log likelihood) times `scale`."""
    best = max(scores, default=0.0)
    weights = [math.exp(scale * (score - best)) for score in scores]
    return [weight / sum(weights) for weight in weights]


def calibrated(value: float, points: Curve) -> float:
    """The value of a calibration curve, interpolated linearly."""
    below = max((point for point in points if point[0] <= value), default=min(points))
    above = min((point for point in points if point[0] >= value), default=max(points))
    if above[0] == below[0]:
        return above[1]
    return below[1] + (above[1] - below[1]) * (value - below[0]) / (above[0] - below[0])


def confidences(evidence: Evidence, right: Curve, ours: Curve) -> tuple[float, ...]:
    """The confidence of each reading: the probability that the speech was for us (`ours`) times that of the reading.

    The probability that the best reading leaves is divided among the others by their shares, so the sum never exceeds
    the probability that the speech was for us.
    """
    meant = 1.0 if evidence.fit is None or not ours else calibrated(evidence.fit, ours)
    first, *others = evidence.shares
    best = calibrated(first, right)
    rest = (1 - best) / sum(others) if others else 0.0
    return (meant * best, *(meant * min(rest * share, best) for share in others))
