"""From box to box: measures between two boxes' faces as measures of the conduit, less what the fittings take."""

from __future__ import annotations

from fractions import Fraction

from bench.core.bender import Setup
from bench.core.fittings import Fittings
from bench.core.given import Given, Number
from bench.core.lengths import round_to
from bench.core.notes import BenchError, Note, Value
from bench.core.plan import Measure
from bench.core.site.base import Answer, Lead, LeadsTo, Site, angle, length

SPAN = length("span", "distance between the boxes", "4", "1200")
TAKE_OFF = length("take_off", "take-off", "-1", "3", optional=True)
"""From a box's face to the end of the conduit in its connector; negative where the conduit goes into the box."""

_TO_THE_RIGHT = 90.0
"""A kick off a 90 lies across the plane of the 90, so that the stub stays upright. Which way is for the person."""


class _Boxes(Site):
    """What all have in common: the take-off, asked or usual for the conduit, is left at each box."""

    def answer(self, given: Given, setup: Setup, fittings: Fittings) -> Answer:
        """The conduit's own measures, and what the connectors take."""
        take_off, note = _take_off(given, setup, fittings)
        leads_to, notes = self.bends(given, take_off), [note]
        if leads_to.finish is not None:
            notes.append(Note("other_leg", "Other leg {leg}.", {"leg": leads_to.finish}))
        return Answer(take_off, tuple(notes), {"take_off": take_off}, leads_to)

    def bends(self, given: Given, take_off: Fraction) -> LeadsTo:
        """The bends with the measures of the conduit itself."""
        raise NotImplementedError


def _take_off(given: Given, setup: Setup, fittings: Fittings) -> tuple[Fraction, Note]:
    """What is left at each box, and how to say it."""
    measured = "take_off" in given
    take_off = given.length("take_off") if measured else fittings.of(setup.conduit).connector
    values: dict[str, Value] = {"take_off": abs(take_off), "kind": "as measured" if measured else "the usual"}
    if take_off < 0:
        return take_off, Note("enters_box", "The conduit goes {take_off} into each box, {kind}.", values)
    return take_off, Note("take_off", "Each connector takes {take_off}, {kind}.", values)


class Straight(Site):
    """A straight piece between two boxes."""

    key = "boxes-straight"
    name = "straight"
    measures = (SPAN, TAKE_OFF)

    def answer(self, given: Given, setup: Setup, fittings: Fittings) -> Answer:
        """Where to cut."""
        take_off, taken = _take_off(given, setup, fittings)
        reach = _left(given.length("span"), 2 * take_off)
        joints = int(-(-reach // setup.stick_length)) - 1
        cut = reach - joints * fittings.of(setup.conduit).coupling
        values: dict[str, Number] = {"cut": cut, "take_off": take_off, "couplings": joints}
        shown = round_to(cut, setup.scale)
        if joints:
            note = Note(
                "cut_coupled", "{cut} of conduit, couplings: {count}.", {"cut": shown, "count": joints}
            )
        else:
            note = Note("cut_between", "Cut {cut}.", {"cut": shown})
        return Answer(shown, (note, taken), values)


class OneBend(_Boxes):
    """Offset or saddle between two boxes: its distance and its end are measured from the boxes' faces."""

    def __init__(self, kind: str, name: str, place: Measure, others: tuple[Measure, ...]) -> None:
        """`place` is the bend's measure from the tape end, `others` go over as they are."""
        self.key, self.name = f"boxes-{kind}", name
        self.kind, self.place, self.others = kind, place, others
        self.measures = (SPAN, place, *others, TAKE_OFF)

    def bends(self, given: Given, take_off: Fraction) -> LeadsTo:
        """The place less one take-off, the end less both."""
        span, at = given.length("span"), given.length(self.place.key)
        if at >= span:
            raise _beyond(at, span)
        measures: dict[str, Number] = {self.place.key: _left(at, take_off)}
        measures |= {each.key: given[each.key] for each in self.others if each.key in given}
        measures["to_end"] = _left(span, 2 * take_off)
        return LeadsTo((Lead(self.kind, measures),))


class Ninety(_Boxes):
    """A 90 between two boxes: each leg from the box's face to the back of the 90. With `rise`, the first box's
    knockout stands off the line of the second leg so far, and a kick off the 90 makes up for it."""

    def __init__(self, kick: bool) -> None:
        """Without or with a kick."""
        self.kick = kick
        self.key, self.name = ("boxes-kick", "ninety with a kick") if kick else ("boxes-stub", "ninety")
        legs = (
            length("height", "first leg", "1", "240"),
            length("leg", "second leg", "1", "1200"),
        )
        kicked = (length("rise", "kick", "1/4", "60"), angle("angle", "angle", "3", "60", optional=True))
        self.measures = (*legs, *(kicked if kick else ()), TAKE_OFF)

    def bends(self, given: Given, take_off: Fraction) -> LeadsTo:
        """The stub and, behind it, the kick; both legs less one take-off."""
        stub = Lead("stub", {"height": _left(given.length("height"), take_off)})
        finish = _left(given.length("leg"), take_off)
        if not self.kick:
            return LeadsTo((stub,), finish)
        kick = {key: given[key] for key in ("rise", "angle") if key in given}
        return LeadsTo((stub, Lead("kick", kick, _TO_THE_RIGHT)), finish)


def _left(whole: Fraction, less: Fraction) -> Fraction:
    if whole <= less:
        raise BenchError(
            Note(
                "no_conduit_left",
                "The fittings alone take {less} of {whole}.",
                {"less": less, "whole": whole},
            ),
            Note("measure_faces", "Measure from face to face of the boxes."),
        )
    return whole - less


def _beyond(at: Fraction, span: Fraction) -> BenchError:
    values: dict[str, Value] = {"at": at, "span": span}
    return BenchError(
        Note("beyond_box", "{at} lies beyond the second box, {span} away.", values),
        Note("within_span", "Measure it from the face of the first box."),
    )
