"""One confidence out of what two listeners found: the chance that speech was for us and that the reading is right.

Logistic regression (Cox 1958) on a few numbers; its weights are fitted to people and talk that no model was trained on
(`tests.benchmarks.confidence`) and stand in the `bench.toml` of the second listener's model.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from bench.ears.confidence import Evidence
from bench.ears.second.search import Found
from bench.language.meaning import Heard, Hypothesis

_MOST_READINGS = 8
_SHARE = (-4.0, 6.0)
_FIT = (-12.0, 0.0)
_SCORE = (-15.0, 0.0)
_FIRST_FIT = (-16.0, 0.0)
_NO_FIT = -8.0
"""Taken for the first listener's fit where it has none."""


@dataclass(frozen=True)
class Weights:
    """`alone` weigh what the second listener found (share, fit, score), then a constant.

    `both` weigh also what the first did (heard the same, heard nothing, its fit, its confidence), then a constant.
    """

    alone: list[float] = field(default_factory=lambda: [0.5, 0.5, 0.2, 1.0])
    both: list[float] = field(default_factory=lambda: [0.5, 0.5, 0.2, 1.0, 1.0, -1.0, 0.2, 1.0])


@dataclass(frozen=True, slots=True)
class Joint:
    """Readings with their shares among one another, best first, and the numbers that speak for the best."""

    readings: tuple[tuple[tuple[str, ...], float], ...]
    features: tuple[float, ...]
    within: float


@dataclass(frozen=True, slots=True)
class JointConfidence:
    """`unwritten` are words that the second listener does not write ("uh")."""

    weights: Weights
    unwritten: frozenset[str]

    def early(self, found: Found) -> float:
        """The confidence of the second listener's best reading by itself."""
        evidence = joint_evidence(Heard(()), None, found)
        return _logistic(self.weights.alone, evidence.features[:3])

    def hypotheses(self, evidence: Joint) -> tuple[Hypothesis, ...]:
        """The readings with their confidence. What the best one leaves is divided among the others."""
        if not evidence.readings:
            return ()
        best = _logistic(self.weights.both, evidence.features)
        (first, _), *others = evidence.readings
        total = sum(share for _, share in others)
        rest = (1 - best) * evidence.within / total if total else 0.0
        return (
            Hypothesis(first, best),
            *(Hypothesis(words, min(rest * share, best)) for words, share in others),
        )


def joint_evidence(first: Heard, first_evidence: Evidence | None, found: Found) -> Joint:
    """What speaks for the best of the second listener's readings."""
    readings = found.readings[:_MOST_READINGS]
    if not readings:
        return Joint((), (), 0.0)
    best = readings[0]
    weights = [math.exp(reading.score - best.score) for reading in readings]
    others = sum(weights[1:])
    fit = best.score - found.free.score
    confidence = {one.words: one.confidence for one in reversed(first.hypotheses)}
    heard_first = first.hypotheses[0].words if first.hypotheses else ()
    first_fit = _NO_FIT if first_evidence is None or first_evidence.fit is None else first_evidence.fit
    features = (
        _within(-math.log(max(others, 1e-9)), _SHARE),
        _within(fit, _FIT),
        _within(best.score, _SCORE),
        float(heard_first == best.words),
        float(not heard_first),
        _within(first_fit, _FIRST_FIT),
        confidence.get(best.words, 0.0),
    )
    shares = tuple(
        (reading.words, weight / sum(weights)) for reading, weight in zip(readings, weights, strict=True)
    )
    return Joint(shares, features, min(1.0, math.exp(min(fit, 0.0))))


def _logistic(weights: Sequence[float], features: Sequence[float]) -> float:
    *slopes, constant = weights
    total = constant + sum(slope * value for slope, value in zip(slopes, features, strict=True))
    return 1 / (1 + math.exp(-total))


def _within(value: float, limits: tuple[float, float]) -> float:
    return min(max(value, limits[0]), limits[1])
