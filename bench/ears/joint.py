"""One answer and one confidence out of what two listeners found.

Readings are ranked by the second listener's log probability, and a little by the first's confidence. The confidence of
the best, the chance that speech was for us and that it is right, is a logistic regression (Cox 1958) on three numbers.
The second's log probability tells talk by itself: it counts a reading against everything else that can be said in
English, so that neither its free reading nor the first's background adds to it (`tests.benchmarks.joint_confidence`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from bench.ears.second.search import Reading
from bench.language.meaning import Heard, Hypothesis

_MOST_READINGS = 8
_LEAST = 0.01
_LEAD = (-4.0, 6.0)
_SCORE = (-5.0, 0.0)
_UNTAUGHT = 0.6
"""Of the first's confidence, what counts at least where the second ranks the same reading best, however unlikely: it
may be a word that the second was not taught."""


@dataclass(frozen=True)
class Weights:
    """Fitted to people and talk that no model was trained on; they stand in the `bench.toml` of the second's model.

    `first` is what the log of the first's confidence counts in ranking. `both` weigh the lead of the best reading over
    the others, its log probability and the log odds of the first's confidence in it, then a constant; `alone` weigh
    lead and log probability, then a constant.
    """

    first: float = 0.3
    both: list[float] = field(default_factory=lambda: [0.644, 1.476, 0.364, 0.94])
    alone: list[float] = field(default_factory=lambda: [0.835, 1.783, 0.226])


@dataclass(frozen=True, slots=True)
class Joint:
    """Readings with their shares among one another, best first, and the numbers that speak for the best.

    `first` is the first listener's confidence in it.
    """

    readings: tuple[tuple[tuple[str, ...], float], ...] = ()
    features: tuple[float, ...] = ()
    first: float = 0.0


@dataclass(frozen=True, slots=True)
class JointConfidence:
    """`unwritten` are words that the second listener does not write ("uh")."""

    weights: Weights
    unwritten: frozenset[str]

    def plain(self, words: tuple[str, ...]) -> tuple[str, ...]:
        """Words as the second listener writes them."""
        return tuple(word for word in words if word not in self.unwritten)

    def alone(self, readings: Sequence[Reading]) -> float:
        """The confidence of the second listener's best reading by itself."""
        if not readings:
            return 0.0
        return _logistic(self.weights.alone, _evidence(readings, {}, 0.0).features[:2])

    def evidence(self, first: Heard, readings: Sequence[Reading]) -> Joint:
        """What speaks for the readings; nothing without any."""
        confidence: dict[tuple[str, ...], float] = {}
        for one in first.hypotheses:
            words = self.plain(one.words)
            confidence[words] = confidence.get(words, 0.0) + one.confidence
        return _evidence(readings, confidence, self.weights.first) if readings else Joint()

    def hypotheses(self, evidence: Joint) -> tuple[Hypothesis, ...]:
        """The readings with their confidence: the others by their share beside the best, at most what it leaves."""
        if not evidence.readings:
            return ()
        best = max(_logistic(self.weights.both, evidence.features), _UNTAUGHT * evidence.first)
        (words, share), *others = evidence.readings
        scale = min(best / share, (1 - best) / (1 - share)) if share < 1 else 0.0
        return (Hypothesis(words, best), *(Hypothesis(words, scale * other) for words, other in others))


def _evidence(readings: Sequence[Reading], confidence: dict[tuple[str, ...], float], weight: float) -> Joint:
    def rank(reading: Reading) -> float:
        return reading.score + weight * math.log(confidence.get(reading.words, 0.0) + _LEAST)

    best, *others = sorted(readings, key=rank, reverse=True)[:_MOST_READINGS]
    shares = [1.0, *(math.exp(rank(one) - rank(best)) for one in others)]
    lead = -math.log(max(sum(shares[1:]), 1e-9))
    first = confidence.get(best.words, 0.0)
    features = (_within(lead, _LEAD), _within(best.score, _SCORE), _log_odds(first))
    total = sum(shares)
    words = [one.words for one in (best, *others)]
    return Joint(
        tuple((one, share / total) for one, share in zip(words, shares, strict=True)), features, first
    )


def _logistic(weights: Sequence[float], features: Sequence[float]) -> float:
    *slopes, constant = weights
    total = constant + sum(slope * value for slope, value in zip(slopes, features, strict=True))
    return 1 / (1 + math.exp(-total))


def _log_odds(chance: float) -> float:
    return math.log((chance + _LEAST) / (1 - chance + _LEAST))


def _within(value: float, limits: tuple[float, float]) -> float:
    return min(max(value, limits[0]), limits[1])
