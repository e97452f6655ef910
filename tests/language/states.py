"""Typical states of the dialogue, as what can be said in them."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from bench.core.lengths import Units
from bench.data.phrases import lexicon
from bench.data.tables import conduits
from bench.dialogue.always import ALWAYS, BETWEEN, WORKING
from bench.language.meaning import Expectation, Kind, NamedBend, Slot

COMMANDS = tuple(lexicon().commands)
KINDS = tuple(dict.fromkeys(pipe.kind for pipe in conduits()))
BENDS = (
    *("offset", "saddle3", "saddle4", "stub", "back-to-back"),
    *("kick", "rolling", "box-offset", "parallel", "segmented"),
)

_SADDLE = (
    Slot("to_center", Kind.LENGTH, Fraction(1), Fraction(120)),
    Slot("height", Kind.LENGTH, Fraction(1, 4), Fraction(24)),
    Slot("width", Kind.LENGTH, Fraction(0), Fraction(60), optional=True),
    Slot("angle", Kind.ANGLE, Fraction(3), Fraction(45), asked=False),
)
_RACK = (
    Slot("distance", Kind.LENGTH, Fraction(1), Fraction(120)),
    Slot("rise", Kind.LENGTH, Fraction(1, 4), Fraction(60)),
    Slot("spacing", Kind.LENGTH, Fraction(1, 2), Fraction(48)),
    Slot("count", Kind.COUNT, Fraction(2), Fraction(24)),
    Slot("angle", Kind.ANGLE, Fraction(3), Fraction(90), asked=False),
)
NAMED = (NamedBend("saddle3", _SADDLE, "height"), NamedBend("parallel", _RACK, "rise"))
ORDERS = {
    "pick in one breath": Expectation(
        Kind.CHOICE,
        choices=("saddle3", "parallel"),
        commands=(*ALWAYS, *BETWEEN),
        bends=NAMED,
        conduits=KINDS,
        sizes=tuple(lexicon().sizes),
        benders=("typical", "mine"),
    ),
    "length and more": Expectation(
        Kind.LENGTH,
        Fraction(1, 4),
        Fraction(24),
        commands=(*ALWAYS, "change"),
        corrected=Kind.LENGTH,
        asks="height",
        slots=(replace(_SADDLE[0], known=True), *_SADDLE[1:]),
    ),
    "read-back and corrections": Expectation(
        Kind.YESNO, commands=(*ALWAYS, "change"), corrected=Kind.LENGTH, slots=_SADDLE
    ),
    "check with a fault": Expectation(
        Kind.LENGTH,
        Fraction(0),
        Fraction(30),
        ("fits", "does_not_fit", "too_high"),
        (*ALWAYS, *WORKING),
        faults=("too_high", "too_low"),
    ),
}
"""States in which more than one answer may be said in a breath."""

STATES = {
    "height": Expectation(Kind.LENGTH, Fraction(1, 2), Fraction(24), ("none",), (*ALWAYS, "change")),
    "distance": Expectation(
        Kind.LENGTH, Fraction(1), Fraction(120), (), (*ALWAYS, "change"), corrected=Kind.ANGLE
    ),
    "distance in metric": Expectation(
        Kind.LENGTH, Fraction(1), Fraction(120), (), (*ALWAYS, "change"), Units.METRIC
    ),
    "check": Expectation(
        Kind.LENGTH,
        Fraction(0),
        Fraction(30),
        (
            *("fits", "does_not_fit", "all_fit", "too_high", "too_low", "leg_up", "leg_down", "over_bent"),
            "under_bent",
        ),
        (*ALWAYS, *WORKING, "skip_check", "skip_checks"),
    ),
    "offered check": Expectation(
        Kind.YESNO, choices=("check_it",), commands=(*ALWAYS, *WORKING, "skip_check", "skip_checks")
    ),
    "angle": Expectation(Kind.ANGLE, Fraction(5), Fraction(90), (), (*ALWAYS, "change")),
    **ORDERS,
    "count": Expectation(Kind.COUNT, Fraction(1), Fraction(12), (), (*ALWAYS, "change")),
    "size": Expectation(Kind.SIZE, choices=tuple(lexicon().sizes), commands=ALWAYS),
    "read-back": Expectation(Kind.YESNO, commands=(*ALWAYS, "change"), corrected=Kind.LENGTH),
    "pick": Expectation(Kind.CHOICE, choices=BENDS, commands=(*ALWAYS, *BETWEEN)),
    "conduit": Expectation(Kind.CHOICE, choices=KINDS, commands=ALWAYS),
    "bender": Expectation(Kind.CHOICE, choices=("typical", "mine", "calibrate_bender"), commands=ALWAYS),
    "marking": Expectation(Kind.COMMAND, commands=(*ALWAYS, *WORKING, "add_bend", "done")),
    "mending": Expectation(Kind.COMMAND, commands=(*ALWAYS, *WORKING, "remake", "done")),
    "after": Expectation(
        Kind.COMMAND, commands=(*ALWAYS, *BETWEEN, "same_again", "add_bend", "change", "remake")
    ),
    "helped": Expectation(
        Kind.COMMAND, commands=(*ALWAYS, *BETWEEN, "same_again", "add_bend", "change", "remake", "more")
    ),
    "paused": Expectation(Kind.COMMAND, commands=ALWAYS, paused=True),
}
