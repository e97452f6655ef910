"""From scores of competing readings to how often the best one is right."""

from __future__ import annotations

import math
from collections.abc import Sequence


def shares(scores: Sequence[float], scale: float) -> list[float]:
    """Each reading's share, 0 to 1 in sum: the softmax of its score (a log likelihood) times `scale`."""
    best = max(scores, default=0.0)
    weights = [math.exp(scale * (score - best)) for score in scores]
    return [weight / sum(weights) for weight in weights]


def calibrated(share: float, points: Sequence[tuple[float, float]]) -> float:
    """A share through the calibration curve, straight between its points and level beyond its ends."""
    below = max((point for point in points if point[0] <= share), default=min(points))
    above = min((point for point in points if point[0] >= share), default=max(points))
    if above[0] == below[0]:
        return above[1]
    return below[1] + (above[1] - below[1]) * (share - below[0]) / (above[0] - below[0])
