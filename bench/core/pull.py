"""How hard the wire pulls: the exponential law of a cable drawn round a bend.

The capstan equation T_out = T_in * e^(mu * theta), theta in radians (IEEE 576, IEEE 1185; worked example in a
cable maker's construction manual, appendix 8.12), and friction of the cable's own weight along a level
straight, T_out = T_in + mu * weight. The radius of a bend enters only by the weight of the cable in it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate


def multiplier(degrees: float, friction: float) -> float:
    """How many times harder the pull is after bends of `degrees` in all, with coefficient `friction`."""
    return math.exp(friction * math.radians(degrees))


def past_bend(tension: float, degrees: float, friction: float, weight: float = 0.0) -> float:
    """Tension after a level bend, in the unit of `tension`, which is the tension before it.

    `weight` is what the cable weighs over one radius of the bend. The pipe bears the tension sideways and the weight
    down, so dT/dtheta = mu sqrt(T^2 + weight^2), whose solution is T cosh(mu theta) + sqrt(T^2 + weight^2)
    sinh(mu theta): the horizontal bend of cable pulling (Rifenburg, AIEE Trans. 72 III, 1953, from memory). Without
    weight it is the capstan equation.
    """
    turn = friction * math.radians(degrees)
    return tension * math.cosh(turn) + math.hypot(tension, weight) * math.sinh(turn)


def past_straight(tension: float, weight: float, friction: float) -> float:
    """Tension after a level straight holding cable of `weight`, in the unit of `tension` and `weight`."""
    return tension + friction * weight


@dataclass(frozen=True, slots=True)
class Pull:
    """What the bends between two pull points do to the pull.

    `each` is the multiplier of every bend in order, `after` the multiplier once each is passed, `whole` of
    them all. `from_start` and `from_end` compare the two ways of feeding: tension at the far end in inches of
    the cable's own weight, fed from the start and from the end.
    """

    each: tuple[float, ...]
    after: tuple[float, ...]
    whole: float
    from_start: float
    from_end: float

    @property
    def feed_at_start(self) -> bool:
        """True when feeding from the start pulls no harder than from the end."""
        return self.from_start <= self.from_end * (1 + 1e-9)


def pull(straights: Sequence[float], degrees: Sequence[float], friction: float, radius: float = 0.0) -> Pull:
    """The pull through `straights` (inches, one more than the bends) with bends of `degrees` and `radius` inches
    between them.

    Raises ValueError when the counts do not fit together.
    """
    if len(straights) != len(degrees) + 1:
        raise ValueError("a run has one more straight than it has bends")
    each = tuple(multiplier(angle, friction) for angle in degrees)
    after = tuple(accumulate(each, lambda so_far, factor: so_far * factor))
    backwards = _at_far_end(straights[::-1], degrees[::-1], friction, radius)
    forwards = _at_far_end(straights, degrees, friction, radius)
    return Pull(each, after, after[-1] if after else 1.0, forwards, backwards)


def _at_far_end(
    straights: Sequence[float], degrees: Sequence[float], friction: float, radius: float
) -> float:
    tension = past_straight(0.0, straights[0], friction)
    for angle, straight in zip(degrees, straights[1:], strict=True):
        tension = past_straight(past_bend(tension, angle, friction, radius), straight, friction)
    return tension
