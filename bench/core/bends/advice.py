"""What else is worth saying about a plan: each note comes from the plan or from trying the alternative."""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.base import STEPS_THAT_MATTER, Bend, LaidOut
from bench.core.bends.remedy import fits
from bench.core.clearance import fouls
from bench.core.feasible import tight_hooks
from bench.core.floor import in_the_air
from bench.core.given import Given
from bench.core.lengths import round_to
from bench.core.notes import Note, Value
from bench.core.plan import Layout, Method

_FEW = 4
"""More marks than this are not compared one by one."""


def advice(
    bend: Bend, given: Given, laid: LaidOut, other: Layout | None, setup: Setup, asked: bool
) -> tuple[Note, ...]:
    """What helps to make it. `asked` tells that the person chose the angle."""
    method = laid.layout.method
    return (
        *_shoe(laid, setup),
        *_air(laid, setup),
        *bend.advice(given, laid, setup),
        *(_gentler(bend, given, method, setup) if asked else ()),
        *_compared(laid, other, setup),
        *_typical(setup),
    )


def warnings(bend: Bend, given: Given, laid: LaidOut, setup: Setup) -> tuple[Note, ...]:
    """What will be wrong with the finished bend, or hard to make."""
    return (
        *_fouls(laid, setup),
        *_out_of_line(laid, setup),
        *_off(given, laid, setup),
        *bend.doubts(laid.path, given, setup),
        *_tight(bend, given, laid, setup),
        *_sharp(setup),
    )


def _shoe(laid: LaidOut, setup: Setup) -> Iterator[Note]:
    for degrees in dict.fromkeys(mark.bend for mark in laid.layout.marks):
        between = setup.bender.between_shoe_marks(degrees)
        if between and between[0]:
            low, high = between
            values = {"angle": degrees, "low": low, "high": high}
            yield Note("between_marks", "{angle} lies between {low} and {high} on the shoe.", values)
        if setup.bender.springback:
            values = {"angle": degrees, "pull": setup.bender.pull(degrees)}
            yield Note("over_pull", "Pull to {pull}: it springs back to {angle}.", values)


def _air(laid: LaidOut, setup: Setup) -> Iterator[Note]:
    """Which bends are not made on the floor. Many bends are a segmented bend: all to one side, up."""
    marks = laid.layout.marks
    if len(marks) > _FEW:
        return
    for mark, below, reach in in_the_air(marks, setup.bender, float(setup.stick_length)):
        values: dict[str, Value] = {
            "mark": int(mark.name),
            "below": Fraction(round(below)),
            "room": Fraction(math.ceil(reach)),
        }
        template = "Bend mark {mark} in the air, handle down: an end would be {below} under the floor."
        yield Note("in_the_air", template + " Keep {room} clear.", values)


def _gentler(bend: Bend, given: Given, method: Method, setup: Setup) -> Iterator[Note]:
    if not bend.angles:
        return
    chosen = given.angle()
    for degrees in bend.angles:
        if degrees >= chosen:
            return
        gentler = given.with_(angle=degrees)
        if fits(bend, gentler, setup, method):
            turns = bend.turns(given, bend.bends(method, gentler, setup, bend.ways[0]))
            values = {"angle": degrees, "saved": turns * (chosen - degrees)}
            yield Note("gentler_fits", "{angle} fits too: {saved} less to pull wire through.", values)
            return


def _compared(laid: LaidOut, other: Layout | None, setup: Setup) -> Iterator[Note]:
    if other is None or len(other.marks) != len(laid.layout.marks) or len(other.marks) > _FEW:
        return
    names = {Method.BOOK: "By the book", Method.TRUE: "For this bender"}
    for mine, theirs in zip(laid.layout.marks, other.marks, strict=True):
        same_hold = (mine.reference, mine.hook) == (theirs.reference, theirs.hook)
        if same_hold and abs(mine.at - theirs.at) >= setup.scale:
            template = f"{names[other.method]} mark {{mark}} would be {{at}}."
            yield Note(f"{other.method}_says", template, {"mark": int(mine.name), "at": theirs.at})


def _typical(setup: Setup) -> Iterator[Note]:
    if setup.bender.typical:
        yield Note(
            "typical_bender", "These are typical bender numbers. Bend one test ninety and calibrate yours."
        )


def _fouls(laid: LaidOut, setup: Setup) -> Iterator[Note]:
    gap = laid.layout.finished.clearance
    if gap is not None and fouls(gap, setup.scale):
        by = _length(-gap, setup)
        yield Note("fouls", "It fouls the obstruction by {by}.", {"by": by})


def _out_of_line(laid: LaidOut, setup: Setup) -> Iterator[Note]:
    apart = laid.layout.finished.legs_out_of_line or 0.0
    if apart >= STEPS_THAT_MATTER * float(setup.scale):
        yield Note("out_of_line", "The two legs will be {by} out of line.", {"by": _length(apart, setup)})


def _off(given: Given, laid: LaidOut, setup: Setup) -> Iterator[Note]:
    """How far the height lands from what was asked for."""
    wanted, made = given.get("rise", given.get("height")), laid.layout.finished.rise
    if wanted is None or made is None or "radius" in given:
        return
    off = made - float(wanted)
    if abs(off) >= STEPS_THAT_MATTER * float(setup.scale):
        way = "high" if off > 0 else "low"
        yield Note(f"too_{way}", f"It will finish {{by}} too {way}.", {"by": _length(abs(off), setup)})


def _tight(bend: Bend, given: Given, laid: LaidOut, setup: Setup) -> Iterator[Note]:
    for mark, room in tight_hooks(laid.layout.marks, setup, bend.taken(given, setup)):
        values: dict[str, Value] = {"mark": int(mark.name), "room": _length(room, setup)}
        yield Note("hook_tight", "At mark {mark} only {room} is straight for the hook: go slowly.", values)


def _sharp(setup: Setup) -> Iterator[Note]:
    least = setup.conduit.least_radius
    if setup.bender.radius < 0.95 * float(least):
        values = {"radius": _length(setup.bender.radius, setup), "least": least}
        yield Note("sharp", "This bender's radius is {radius}; the code's least is {least}.", values)


def _length(value: float, setup: Setup) -> Fraction:
    return round_to(value, setup.scale)
