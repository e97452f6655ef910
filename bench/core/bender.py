"""A hand bender: two things an electrician can measure, and all that follows from them.

The formulas are plane geometry of a 90-degree bend whose legs are measured to the outside:
gain = 2 (R + d/2) - (pi/2) R, and take-up = b + R + d/2.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from fractions import Fraction

from bench.core.conduit import Conduit
from bench.core.lengths import SIXTEENTH, round_to
from bench.core.notes import BenchError, Note
from bench.core.plan import Reference
from bench.core.trade import Trade

SHOE_ANGLES = (10.0, 22.5, 30.0, 45.0, 60.0)
"""Degrees marked on the shoe of a hand bender (technical college handout, Albany Technical College, 2007)."""

SQUARE_CORNER = 2 - math.pi / 2
"""How much longer the two sides of a square corner are than the quarter circle of radius one inside it."""

_MOST_BY_HAND = 10.0
"""Degrees a hand can be off by habit; common practice, no source."""


_SHARPEST, _WIDEST, _DIAMETERS = 0.7, 1.8, 8.0
"""Between which a bender's radius lies: parts of the code's least radius, and diameters, as metric conduit has a small
least radius and is bent to six and more. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Bender:
    """A bender with the conduit it bends.

    `take_up`: arrow to the back of a finished 90. `gain`: the two legs of a 90, each to the outside, less the
    conduit used. `od`: of the conduit. `grip`: least conduit beyond the arrow for the hook. `foot`: least
    straight conduit to stand on behind the bend. All inches. `springback`: degrees a 90 springs back, other
    bends in proportion. `hand`: degrees that this person bends beyond what they pull to. `typical` is true of
    table values, false once measured.

    Raises BenchError when take-up and gain cannot belong to a bender for this conduit.
    """

    name: str
    take_up: Fraction
    gain: Fraction
    od: Fraction
    springback: float = 0.0
    shoe_angles: tuple[float, ...] = SHOE_ANGLES
    typical: bool = False
    grip: Fraction = Fraction(1)
    foot: Fraction = Fraction(2)
    hand: float = 0.0
    radius: float = field(init=False, repr=False, compare=False)
    """Centerline radius R, inches."""
    arc_start: float = field(init=False, repr=False, compare=False)
    """Arrow to the start of the arc b, inches."""

    def __post_init__(self) -> None:
        """Work out once what every arc needs, and refuse what no bender can be, with the reason."""
        radius = float(self.gain - self.od) / SQUARE_CORNER
        object.__setattr__(self, "radius", radius)
        object.__setattr__(self, "arc_start", float(self.take_up) - radius - float(self.od) / 2)
        if self.take_up <= 0 or self.gain <= 0 or self.od <= 0:
            raise BenchError(
                Note("bender_not_positive", "Take-up, gain and diameter must each be greater than zero."),
                Note("bender_measure_again", "Bend a test ninety and measure again."),
            )
        if self.radius < self.od:
            least = SQUARE_CORNER * float(self.od) + float(self.od)
            raise BenchError(
                Note("bender_gain_small", "A gain of {gain} would kink this conduit.", {"gain": self.gain}),
                Note("bender_gain_least", "It must be {least} or more.", {"least": _up(least)}),
            )
        if self.arc_start < 0:
            raise BenchError(
                Note(
                    "bender_take_up_small",
                    "A take-up of {take_up} is too small for a gain of {gain}.",
                    {"take_up": self.take_up, "gain": self.gain},
                ),
                Note(
                    "bender_take_up_least",
                    "With that gain the take-up must be {least} or more.",
                    {"least": _up(self.radius + float(self.od) / 2)},
                ),
            )
        if not -_MOST_BY_HAND <= self.hand <= _MOST_BY_HAND:
            raise BenchError(
                Note("bender_hand", "A hand that bends {angle} off is not plausible.", {"angle": self.hand}),
                Note("bender_hand_range", "It must be {most} or less.", {"most": _MOST_BY_HAND}),
            )
        if not 0.0 <= self.springback <= 30.0:
            raise BenchError(
                Note(
                    "bender_springback",
                    "A springback of {angle} is not plausible.",
                    {"angle": self.springback},
                ),
                Note(
                    "bender_springback_range",
                    "It must lie between {low} and {high}.",
                    {"low": 0.0, "high": 30.0},
                ),
            )

    def measured(
        self, name: str, take_up: Fraction, gain: Fraction, springback: float = 0.0, hand: float = 0.0
    ) -> Bender:
        """This bender as a person measured it; what was not measured stays as it is here, the typical one.

        Raises BenchError when the measures cannot belong to a bender for this conduit.
        """
        return replace(
            self, name=name, take_up=take_up, gain=gain, springback=springback, hand=hand, typical=False
        )

    @property
    def star(self) -> Fraction:
        """Arrow to the back-of-90 mark, inches."""
        return self.take_up - self.gain

    @property
    def notch(self) -> float:
        """Arrow to the rim notch, the middle of a 45-degree arc, inches."""
        return self.arc_start + self.radius * math.pi / 8

    def offset(self, reference: Reference) -> float:
        """Distance of a reference point from the arrow, away from where the hook faces, inches."""
        if reference is Reference.ARROW:
            return 0.0
        return self.notch if reference is Reference.NOTCH else float(self.star)

    def arc(self, degrees: float) -> float:
        """Length of conduit in a bend of so many degrees, inches."""
        return self.radius * math.radians(degrees)

    def pull(self, degrees: float) -> float:
        """Degrees to pull to, so that the bend springs back to `degrees` and this hand's habit is made up for."""
        return max(0.0, degrees * (1 + self.springback / 90) - self.hand)

    def between_shoe_marks(self, degrees: float) -> tuple[float, float] | None:
        """The two marks on the shoe that an angle lies between, or None when it is marked itself.

        Below the first mark the lower one is 0; above the last the upper one is 90, judged with a level.
        """
        marks = (0.0, *self.shoe_angles, 90.0)
        if any(abs(degrees - mark) < 0.25 for mark in marks) or not 0 < degrees < 90:
            return None
        return max(m for m in marks if m < degrees), min(m for m in marks if m > degrees)


@dataclass(frozen=True, slots=True)
class Setup:
    """What the person works with: conduit, bender, taught constants, the tape's scale, the stick's length."""

    conduit: Conduit
    bender: Bender
    trade: Trade
    scale: Fraction = SIXTEENTH
    stick_length: Fraction = Fraction(120)

    @property
    def od(self) -> float:
        """Outside diameter of the conduit, inches."""
        return float(self.conduit.od)


def calibrated(
    conduit: Conduit,
    *,
    mark: Fraction,
    stub: Fraction,
    leg: Fraction,
    before: Fraction,
    sprung: float | None = None,
    name: str = "mine",
) -> Bender:
    """The bender that one test 90 describes, all lengths in inches.

    `mark` is where the arrow was, from the end; `stub` and `leg` the finished legs, each from its end to the
    back; `before` the length of the straight conduit. `sprung` is the angle kept of a bend pulled to 90. Of a true
    90 take-up is stub less mark, gain both legs less the length before; of one that sprang open the radius is solved
    with the angle it kept: stub + leg - before = (2 R + d) sin - R angle. Raises BenchError when the measures
    cannot be of one bend.
    """
    springback = 0.0 if sprung is None else 90.0 * (90.0 / sprung - 1)
    bender = Bender(
        name, *_of_a_true_ninety(stub, leg, before, mark, conduit.od, sprung), conduit.od, springback
    )
    least = float(conduit.least_radius)
    widest = max(_WIDEST * least, _DIAMETERS * float(conduit.od))
    if not _SHARPEST * least <= bender.radius <= widest:
        raise BenchError(
            Note(
                "calibration_radius",
                "These measures make a bend of radius {radius}; this conduit's is about {least}.",
                {"radius": round_to(bender.radius), "least": conduit.least_radius},
            ),
            Note("calibration_again", "Measure both legs, end to back, and the length before, once more."),
        )
    return bender


def _of_a_true_ninety(
    stub: Fraction, leg: Fraction, before: Fraction, mark: Fraction, od: Fraction, kept: float | None
) -> tuple[Fraction, Fraction]:
    """Take-up and gain that a true 90 would have had, of one that kept an angle, degrees; in sixteenths, as they are
    read back."""
    if kept is None or kept == 90.0:
        return stub - mark, stub + leg - before
    angle, d = math.radians(kept), float(od)
    radius = (float(stub + leg - before) - d * math.sin(angle)) / (2 * math.sin(angle) - angle)
    start = float(stub - mark) - (radius + d / 2) * math.sin(angle)
    return round_to(start + radius + d / 2), round_to(radius * SQUARE_CORNER + d)


def calibration_doubts(bender: Bender, typical: Bender) -> tuple[Note, ...]:
    """What in a calibrated bender is far enough from typical to measure a second time, and which measure it is likely
    to be: the stub is in take-up and gain alike, the mark in the take-up alone, the other leg and the length in the
    gain. The last note says what to do."""
    take_up, gain = bender.take_up - typical.take_up, bender.gain - typical.gain
    doubts = []
    if abs(take_up) > _TAKE_UP_APART:
        values = {"take_up": bender.take_up, "typical": typical.take_up}
        doubts.append(
            Note("take_up_unusual", "A take-up of {take_up} is unusual; typical is {typical}.", values)
        )
    if abs(gain) > _GAIN_APART:
        values = {"gain": bender.gain, "typical": typical.gain}
        doubts.append(Note("gain_unusual", "A gain of {gain} is unusual; typical is {typical}.", values))
    return (*doubts, *_measure_again(take_up, gain))


_TAKE_UP_APART, _GAIN_APART = Fraction(1), Fraction(1, 2)
"""Inches from typical that are worth a second look (common practice, no source)."""


def _measure_again(take_up: Fraction, gain: Fraction) -> tuple[Note, ...]:
    """Which measure of the test bend explains how far both lie from typical."""
    if max(abs(take_up) / _TAKE_UP_APART, abs(gain) / _GAIN_APART) <= 1:
        return ()
    if abs(take_up - gain) <= _GAIN_APART:
        return (Note("stub_again", "Both are off alike: measure the stub again, end to back."),)
    if abs(gain) <= _GAIN_APART:
        return (Note("mark_again", "The gain is usual: look again where the mark was."),)
    if abs(take_up) <= _TAKE_UP_APART:
        return (
            Note("leg_again", "The take-up is usual: measure the other leg again, and the length before."),
        )
    return (Note("test_again", "They do not belong together: bend a second test ninety."),)


def _up(value: float) -> Fraction:
    """The next sixteenth above a length: a least value must itself be allowed."""
    return Fraction(math.ceil(value * 16), 16)
