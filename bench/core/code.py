"""What the electrical code asks of a run, as reminders: figures come from data, each with its source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from bench.core.notes import BenchError, Note


@dataclass(frozen=True, slots=True)
class Wording:
    """One sentence written twice: for the voice (no digits) and for screen and paper."""

    said: str
    written: str


@dataclass(frozen=True, slots=True)
class BendLimit:
    """Most degrees of bend between pull points."""

    most_degrees: float
    source: str

    def left(self, bent: float) -> float:
        """Degrees left before a pull point is due, with so many bent; negative when over."""
        return self.most_degrees - bent

    def warn(self, bent: float) -> tuple[Note, ...]:
        """What to say when there are too many."""
        left = self.left(bent)
        if left >= -1e-9:
            return ()
        values = {"over": -left, "most": self.most_degrees}
        template = "{over} more bend than the {most} between pull points: add a box."
        return (Note("pull_point_needed", template, values),)


@dataclass(frozen=True, slots=True)
class Support:
    """Fastening of one kind of conduit: at most `from_box` inches from a box, and `every` inches between."""

    conduit: str
    sizes: tuple[str, ...]
    from_box: Fraction
    every: Fraction
    source: str


@dataclass(frozen=True, slots=True)
class StraightRun:
    """Wider support spacing, inches by trade size, for straight runs with threaded couplings."""

    conduit: str
    every: Mapping[str, Fraction]
    source: str


@dataclass(frozen=True, slots=True)
class Friction:
    """Coefficient of friction between cable and conduit, taken when none is known."""

    friction: float
    source: str


@dataclass(frozen=True, slots=True)
class Stock:
    """Length a stick is sold in, inches."""

    length: Fraction
    source: str


@dataclass(frozen=True, slots=True)
class Joints:
    """Straight conduit in inches that a coupling or connector needs before a bend begins."""

    straight: Fraction
    source: str


@dataclass(frozen=True, slots=True)
class Saw:
    """What a cut takes, and the shortest offcut worth keeping, inches."""

    kerf: Fraction
    keep: Fraction
    source: str


@dataclass(frozen=True, slots=True)
class CodeLimits:
    """All the figures, and the sentence that says who decides."""

    deference: Wording
    bends: BendLimit
    supports: tuple[Support, ...]
    straight_runs: tuple[StraightRun, ...]
    pull: Friction
    stock: Stock
    joints: Joints
    saw: Saw

    def support(self, conduit: str, size: str) -> Support:
        """The fastening rule for a conduit. Raises BenchError when the table has none."""
        for rule in self.supports:
            if rule.conduit == conduit and size in rule.sizes:
                return rule
        raise BenchError(
            Note(
                "no_support_rule",
                "No support distance is known for {size} {conduit}.",
                {"size": size, "conduit": conduit},
            ),
            "Ask the local code; give a conduit and size from the table.",
        )

    def straight_spacing(self, conduit: str, size: str) -> Fraction | None:
        """Support spacing of a straight threaded run, inches; None where no rule allows it."""
        spacings = (rule.every.get(size) for rule in self.straight_runs if rule.conduit == conduit)
        return next((every for every in spacings if every is not None), None)
