"""Typical states of the dialogue, as what can be said in them."""

from __future__ import annotations

from fractions import Fraction

from bench.core.lengths import Units
from bench.data.phrases import lexicon
from bench.language.meaning import Expectation, Kind

COMMANDS = tuple(lexicon().commands)
ALWAYS = (
    *("next", "back", "repeat", "where_am_i", "what_can_i_say", "undo", "stop_listening", "start_listening"),
    *("louder", "quieter", "slower", "faster", "hush", "mark_question"),
)
BENDS = (
    *("offset", "saddle3", "saddle4", "stub", "back-to-back"),
    *("kick", "rolling", "box-offset", "parallel", "segmented"),
)

STATES = {
    "height": Expectation(Kind.LENGTH, Fraction(1, 2), Fraction(24), ("none",), (*ALWAYS, "change")),
    "distance": Expectation(
        Kind.LENGTH, Fraction(1), Fraction(120), (), (*ALWAYS, "change"), corrected=Kind.ANGLE
    ),
    "distance in metric": Expectation(
        Kind.LENGTH, Fraction(1), Fraction(120), (), (*ALWAYS, "change"), Units.METRIC
    ),
    "check": Expectation(
        Kind.LENGTH, Fraction(0), Fraction(30), ("fits",), (*ALWAYS, "change", "degrees_left")
    ),
    "angle": Expectation(Kind.ANGLE, Fraction(5), Fraction(90), (), (*ALWAYS, "change")),
    "count": Expectation(Kind.COUNT, Fraction(1), Fraction(12), (), (*ALWAYS, "change")),
    "size": Expectation(Kind.SIZE, choices=tuple(lexicon().sizes), commands=ALWAYS),
    "read-back": Expectation(Kind.YESNO, commands=(*ALWAYS, "change", "cancel"), corrected=Kind.LENGTH),
    "pick": Expectation(Kind.CHOICE, choices=BENDS, commands=COMMANDS),
    "conduit": Expectation(Kind.CHOICE, choices=("emt", "rmc", "imc"), commands=ALWAYS),
    "bender": Expectation(Kind.CHOICE, choices=("typical", "mine", "calibrate_bender"), commands=ALWAYS),
    "marking": Expectation(Kind.COMMAND, commands=COMMANDS),
    "paused": Expectation(Kind.COMMAND, commands=ALWAYS, paused=True),
}
