"""Combines the readings of both recognizers into one n-best list with one confidence.

Readings with the same meaning count together. Meanings are ranked by the second recognizer's log probability, a
little by the first's confidence, and by whether they answer the question. The confidence of the best is the
probability that the speech was for us and the meaning is right: a logistic regression (Cox 1958) on three
features. The second's log probability (of long readings for each word) separates answers from talk by itself,
because it compares a reading with all English text. Neither a free transcript nor the first's background model
improves that (`tests.benchmarks.joint_confidence`).
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field

from bench.ears.second.search import Reading
from bench.ears.sense import Sense, SenseOf, Words
from bench.language.meaning import Heard, Hypothesis

_MOST_READINGS = 8
_LEAST = 0.01
_LEAD = (-4.0, 6.0)
_SCORE = (-5.0, 0.0)
_WORDS = 8
"""The log probability of a reading of more words than this counts as if it had so many: it falls with length, and of
320 spoken orders in people's own words 59 that were heard right were not believed."""
_RIVALED = 0.89
"""At most so sure while the lead is under its limit: of 1,584 readings for us at the limit 2 were wrong, of 396 with a
lead of 3 or more under it 22, however likely by themselves."""
_UNTAUGHT = 0.6
"""Of the first's confidence, what counts at least where the second ranks the same reading best, however unlikely: it
may be a word that the second was not taught."""


@dataclass(frozen=True)
class Weights:
    """Fitted weights, from the `bench.toml` of the second recognizer's model. The fit used held-out people and talk.

    `first` is what the log of the first's confidence counts in ranking, `unasked` the log odds against a meaning that
    does not answer what was asked (a command, an order of several parts), and `broken` those against words that mean
    nothing as a whole ("box kick two box" for "box kick to box"). `both` weigh the lead of the best meaning
    over the others, its log probability and the log odds of the first's confidence in it, then a constant; `alone`
    weigh lead and log probability, then a constant.
    """

    first: float = 0.15
    unasked: float = 2.0
    broken: float = 6.0
    both: list[float] = field(default_factory=lambda: [0.644, 1.476, 0.364, 0.94])
    alone: list[float] = field(default_factory=lambda: [0.835, 1.783, 0.226])


@dataclass(frozen=True, slots=True)
class Joint:
    """One reading for each meaning with the probability of the meaning, best first, and the features of the best.

    `first` is the first recognizer's confidence in it.
    """

    readings: tuple[tuple[Words, float], ...] = ()
    features: tuple[float, ...] = ()
    first: float = 0.0


@dataclass(frozen=True, slots=True)
class JointConfidence:
    """`unwritten` are words that the second recognizer does not write ("uh")."""

    weights: Weights
    unwritten: frozenset[str]

    def plain(self, words: Words) -> Words:
        """Words as the second recognizer writes them."""
        return tuple(word for word in words if word not in self.unwritten)

    def alone(self, readings: Sequence[Reading], sense: SenseOf) -> Hypothesis | None:
        """The best reading of the second recognizer alone, with its confidence. None without readings."""
        if not readings:
            return None
        found = self.evidence(Heard(()), readings, sense)
        return Hypothesis(found.readings[0][0], _logistic(self.weights.alone, found.features[:2]))

    def evidence(self, first: Heard, readings: Sequence[Reading], sense: SenseOf) -> Joint:
        """The meanings of the readings with their features. Empty without readings."""
        sure: dict[Hashable, float] = {}
        for one in first.hypotheses:
            meaning = sense(self.plain(one.words)).meaning
            sure[meaning] = sure.get(meaning, 0.0) + one.confidence
        return self._weighed(readings, sure, sense) if readings else Joint()

    def hypotheses(self, evidence: Joint) -> tuple[Hypothesis, ...]:
        """The readings with their confidence. The others share at most what the confidence of the best leaves."""
        if not evidence.readings:
            return ()
        best = max(_logistic(self.weights.both, evidence.features), _UNTAUGHT * evidence.first)
        if evidence.features[0] < _LEAD[1]:
            best = min(best, _RIVALED)
        (words, share), *others = evidence.readings
        scale = min(best / share, (1 - best) / (1 - share)) if share < 1 else 0.0
        return (Hypothesis(words, best), *(Hypothesis(words, scale * other) for words, other in others))

    def _against(self, meant: Sense) -> float:
        """The log odds against a reading, by what it means."""
        if not meant.whole:
            return self.weights.broken
        return 0.0 if meant.asked else self.weights.unasked

    def _weighed(self, readings: Sequence[Reading], sure: dict[Hashable, float], sense: SenseOf) -> Joint:
        """The meanings of the readings, `sure` being the first recognizer's confidence in each."""
        found: dict[Hashable, list[Reading]] = {}
        against: dict[Hashable, float] = {}
        for reading in readings:
            meant = sense(reading.words)
            found.setdefault(meant.meaning, []).append(reading)
            against[meant.meaning] = self._against(meant)

        def rank(meaning: Hashable) -> float:
            told = self.weights.first * math.log(sure.get(meaning, 0.0) + _LEAST)
            return _sum([one.score for one in found[meaning]]) + told - against[meaning]

        best, *others = sorted(found, key=rank, reverse=True)[:_MOST_READINGS]
        shares = [1.0, *(math.exp(rank(one) - rank(best)) for one in others)]
        lead = -math.log(max(sum(shares[1:]), 1e-9))
        words = [max(found[one], key=lambda reading: reading.score).words for one in (best, *others)]
        score = _sum([one.score for one in found[best]]) * min(1.0, _WORDS / max(1, len(words[0])))
        first = sure.get(best, 0.0)
        features = (_within(lead, _LEAD), _within(score, _SCORE), _log_odds(first))
        told = tuple((one, share / sum(shares)) for one, share in zip(words, shares, strict=True))
        return Joint(told, features, first)


def _sum(scores: Sequence[float]) -> float:
    """The logarithm of the sum of the exponentials."""
    most = max(scores)
    return most + math.log(sum(math.exp(score - most) for score in scores))


def _logistic(weights: Sequence[float], features: Sequence[float]) -> float:
    *slopes, constant = weights
    total = constant + sum(slope * value for slope, value in zip(slopes, features, strict=True))
    return 1 / (1 + math.exp(-total))


def _log_odds(chance: float) -> float:
    return math.log((chance + _LEAST) / (1 - chance + _LEAST))


def _within(value: float, limits: tuple[float, float]) -> float:
    return min(max(value, limits[0]), limits[1])
