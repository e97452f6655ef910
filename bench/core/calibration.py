"""A bender's numbers from one test bend of ninety degrees, and whether the measures agree with one another."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from bench.core.bender import Bender
from bench.core.notes import BenchError, Note

MOST_KEPT = 90.0
"""A test bend is pulled to ninety: it can only keep that or less."""


def calibrated(
    typical: Bender, mark: Fraction, stub: Fraction, leg: Fraction, before: Fraction, kept: float = MOST_KEPT
) -> Bender:
    """The bender of a test ninety made with the arrow on `mark` inches from the end, the hook facing that end.

    `stub` and `leg` are from each end to the back of the bend, `before` the length of the conduit before it, inches;
    `kept` the angle left after it was pulled to ninety, degrees. Take-up is stub less mark, gain both legs less the length
    before (definitions of the trade). Raises BenchError when the measures cannot all be right.
    """
    take_up, gain = stub - mark, stub + leg - before
    if take_up <= 0:
        values = {"stub": stub, "mark": mark}
        message = Note("test_stub_short", "A stub of {stub} is not past the mark at {mark}.", values)
        raise BenchError(message, Note("test_again", "Measure again from the end to the back of the bend."))
    if gain <= 0:
        values = {"legs": stub + leg, "before": before}
        message = Note(
            "test_no_gain", "Both legs make {legs}; the conduit was {before}, which is not less.", values
        )
        raise BenchError(message, Note("test_again", "Measure again from the end to the back of the bend."))
    if not 0 < kept <= MOST_KEPT:
        message = Note("test_kept", "A ninety cannot keep {angle}.", {"angle": kept})
        raise BenchError(message, Note("test_kept_again", "Measure the angle that it kept."))
    return replace(
        typical, take_up=take_up, gain=gain, springback=MOST_KEPT - kept, typical=False, name="own"
    )
