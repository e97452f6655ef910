"""What was learned of a bender for one conduit, as it is kept: the evidence, what was offered, what was taken."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from bench.core.bender import Bender
from bench.core.learned import (
    MEASURED_SPREAD,
    MOST_BENDS,
    TYPICAL_SPREAD,
    Estimate,
    Evidence,
    Numbers,
    estimate,
)
from bench.job.model import Profile, Tools

TYPICAL = "typical"
_LEARNED = "learned"


@dataclass(frozen=True, slots=True)
class Learning:
    """`bender` is what the numbers were before anything was learned: "typical", or the name of the person's own.

    `evidence` is in the order bends were read. `answered` counts the bends when the person last answered an offer.
    `taken` are the numbers they said yes to, the newest last.
    """

    bender: str
    conduit: str
    size: str
    evidence: tuple[Evidence, ...] = ()
    answered: int = 0
    taken: tuple[Profile, ...] = ()

    @property
    def key(self) -> tuple[str, str, str]:
        """Which one it is."""
        return self.bender, self.conduit, self.size

    def with_(self, one: Evidence) -> Learning:
        """With the evidence of one more bend, or of a bend read again; the oldest is dropped."""
        others = [each for each in self.evidence if (each.bend, each.mended) != (one.bend, one.mended)]
        newest = list(dict.fromkeys(each.bend for each in (*others, one)))[-MOST_BENDS:]
        return replace(self, evidence=tuple(each for each in (*others, one) if each.bend in newest))

    @property
    def bends(self) -> int:
        """How many bends were read."""
        return len({one.bend for one in self.evidence})


def base_name(profile: Profile | None) -> str:
    """What a bender was called before its numbers were learned."""
    if profile is None or profile.typical or profile.name == _LEARNED:
        return TYPICAL
    return profile.name.removesuffix(f" {_LEARNED}")


def learned_name(base: str) -> str:
    """What it is called once they are."""
    return _LEARNED if base == TYPICAL else f"{base} {_LEARNED}"


def is_learned(profile: Profile | None) -> bool:
    """Whether a bender's numbers were learned."""
    return profile is not None and not profile.typical and profile.name == learned_name(base_name(profile))


def learning_of(known: Iterable[Learning], tools: Tools) -> Learning:
    """What is known of the bender in hand, or nothing yet."""
    fresh = Learning(base_name(tools.profile), tools.conduit, tools.size)
    return next((one for one in known if one.key == fresh.key), fresh)


def with_learning(known: Iterable[Learning], one: Learning) -> tuple[Learning, ...]:
    """All that is known, with one of them new."""
    return (*(each for each in known if each.key != one.key), one)


def estimate_of(learning: Learning, typical: Bender, profiles: Iterable[Profile]) -> Estimate:
    """The estimate, begun at the person's own numbers where they measured the bender, else at the typical ones."""
    own = [one for one in profiles if (one.name, one.conduit, one.size) == learning.key]
    if not own:
        return estimate(Numbers.of(typical), TYPICAL_SPREAD, learning.evidence)
    bender = typical.measured(own[-1].name, own[-1].take_up, own[-1].gain, own[-1].springback, own[-1].hand)
    return estimate(Numbers.of(bender), MEASURED_SPREAD, learning.evidence)
