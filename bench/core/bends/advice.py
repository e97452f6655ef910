"""What else is worth saying about a plan: each note comes from the plan or from trying the alternative."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.base import Bend, Given
from bench.core.bends.catalogue import SINGLE
from bench.core.bends.layout import LaidOut, possible
from bench.core.bends.remedy import fits
from bench.core.bends.rolling import roll_angle
from bench.core.feasible import hook_room, placed
from bench.core.lengths import round_to
from bench.core.notes import BenchError, Note, Value
from bench.core.plan import Hook, Layout, Method
from bench.core.simulate import simulate

_STEPS_THAT_MATTER = 2
"""Differences of this many steps of the tape's scale are worth words: an eighth of an inch is usually
accepted on hand-bent conduit (common practice, no source)."""


_FEW = 4
"""More marks than this are not compared one by one."""


def advice(
    bend: Bend, given: Given, laid: LaidOut, other: Layout | None, setup: Setup, asked: bool
) -> tuple[Note, ...]:
    """What helps to make it. `asked` tells that the person chose the angle."""
    method = laid.layout.method
    return (
        *_hook(bend, laid),
        *_shoe(laid, setup),
        *_kinds(bend, given, laid, setup),
        *(_gentler(bend, given, method, setup) if asked else ()),
        *_four_points(bend, given, laid, method, setup),
        *_compared(laid, other, setup),
        *_typical(setup),
    )


def warnings(bend: Bend, given: Given, laid: LaidOut, setup: Setup) -> tuple[Note, ...]:
    """What will be wrong with the finished bend, or hard to make."""
    return (
        *_fouls(laid, setup),
        *_out_of_line(laid, setup),
        *_off(given, laid, setup),
        *_tight(laid, setup),
        *_sharp(setup),
    )


def _hook(bend: Bend, laid: LaidOut) -> Iterator[Note]:
    if bend.key not in ("offset", "rolling"):
        return
    if laid.layout.marks[0].hook is Hook.AWAY:
        yield Note("hook_away", "With the hook away from the tape end it is level before the obstruction.")
    else:
        yield Note("hook_near", "The hook faces the tape end: too little conduit to stand on the other way.")


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


def _kinds(bend: Bend, given: Given, laid: LaidOut, setup: Setup) -> Iterator[Note]:
    marks = laid.layout.marks
    if bend.key == "rolling":
        yield Note(
            "roll_angle", "Turn the whole offset {angle} from straight up.", {"angle": roll_angle(given)}
        )
    if bend.key == "parallel":
        yield Note(
            "rack_in_plane",
            "The shift is for conduits spread in the plane of the bend. Side by side they need none.",
        )
    if bend.key == "segmented":
        values: dict[str, Value] = {
            "count": len(marks),
            "angle": marks[0].bend,
            "spacing": round_to((laid.bends[1].at - laid.bends[0].at), setup.scale / 2),
        }
        yield Note("shots", "{count} shots of {angle}, {spacing} apart.", values)
    if bend.key == "box-offset":
        yield Note("box_angle", "Both bends {angle}: a nudge of the bender.", {"angle": marks[0].bend})


def _gentler(bend: Bend, given: Given, method: Method, setup: Setup) -> Iterator[Note]:
    chosen = float(given.get("angle", 0))
    for degrees in bend.angles:
        if degrees >= chosen:
            return
        if fits(bend, {**given, "angle": degrees}, setup, method):
            bends = len(bend.bends(method, {**given, "angle": degrees}, setup, bend.hooks[0]))
            turns = 4 if bend.key == "saddle3" else bends
            values = {"angle": degrees, "saved": turns * (chosen - degrees)}
            yield Note("gentler_fits", "{angle} fits too: {saved} less to pull wire through.", values)
            return


def _four_points(bend: Bend, given: Given, laid: LaidOut, method: Method, setup: Setup) -> Iterator[Note]:
    """A three-point saddle that fouls a wide obstruction: what clears it."""
    if bend.key != "saddle3" or not _is_foul(laid, setup) or not given.get("width"):
        return
    edge = Fraction(given["to_center"]) - Fraction(given["width"]) / 2
    wide = {"to_edge": edge, "height": given["height"], "width": given["width"], "angle": given["angle"]}
    if edge > 0 and fits(SINGLE["saddle4"], wide, setup, method):
        yield Note("four_points_clear", "A four-point saddle clears it.")
    height = _clearing_height(bend, given, method, setup)
    if height:
        yield Note("higher_clears", "Three bends clear it at a height of {height}.", {"height": height})


def _clearing_height(bend: Bend, given: Given, method: Method, setup: Setup) -> Fraction | None:
    """The height to bend to, in eighths, for a three-point saddle to clear what is `height` high."""
    lowest = Fraction(given["height"])

    def clears(steps: int) -> bool:
        try:
            _, marks = possible(bend, method, {**given, "height": lowest + Fraction(steps, 8)}, setup)
        except BenchError:
            return False
        path = simulate(marks, setup.bender, float(setup.stick_length))
        return (bend.finished(path, given, setup).clearance or 0.0) >= 0

    few, many = 0, 32
    if not clears(many):
        return None
    while many - few > 1:
        middle = (few + many) // 2
        few, many = (few, middle) if clears(middle) else (middle, many)
    return round_to(lowest + Fraction(many, 8), setup.scale)


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


def _is_foul(laid: LaidOut, setup: Setup) -> bool:
    clearance = laid.layout.finished.clearance
    return clearance is not None and clearance < -float(setup.scale)


def _fouls(laid: LaidOut, setup: Setup) -> Iterator[Note]:
    if _is_foul(laid, setup):
        by = _length(-(laid.layout.finished.clearance or 0.0), setup)
        yield Note("fouls", "It fouls the obstruction by {by}.", {"by": by})


def _out_of_line(laid: LaidOut, setup: Setup) -> Iterator[Note]:
    apart = laid.layout.finished.legs_out_of_line or 0.0
    if apart >= _STEPS_THAT_MATTER * float(setup.scale):
        yield Note("out_of_line", "The two legs will be {by} out of line.", {"by": _length(apart, setup)})


def _off(given: Given, laid: LaidOut, setup: Setup) -> Iterator[Note]:
    """How far the height lands from what was asked for."""
    wanted, made = given.get("rise", given.get("height")), laid.layout.finished.rise
    if wanted is None or made is None or "radius" in given:
        return
    off = made - float(wanted)
    if abs(off) >= _STEPS_THAT_MATTER * float(setup.scale):
        way = "high" if off > 0 else "low"
        yield Note(f"too_{way}", f"It will finish {{by}} too {way}.", {"by": _length(abs(off), setup)})


def _tight(laid: LaidOut, setup: Setup) -> Iterator[Note]:
    for mark, arc in placed(laid.layout.marks, setup.bender):
        if mark.order == 1 or mark.hook is Hook.EITHER or len(laid.path.arcs) > _FEW:
            continue
        room = hook_room(mark, arc, laid.path, setup.bender)
        if room < float(setup.bender.grip):
            values: dict[str, Value] = {"mark": int(mark.name), "room": _length(max(room, 0.0), setup)}
            yield Note(
                "hook_tight", "At mark {mark} only {room} is straight for the hook: go slowly.", values
            )


def _sharp(setup: Setup) -> Iterator[Note]:
    least = setup.conduit.least_radius
    if setup.bender.radius < 0.95 * float(least):
        values = {"radius": _length(setup.bender.radius, setup), "least": least}
        yield Note("sharp", "This bender's radius is {radius}; the code's least is {least}.", values)


def _length(value: float, setup: Setup) -> Fraction:
    return round_to(value, setup.scale)
