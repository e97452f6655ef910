"""The main job with real sound: a saddle measured, marked, bent and checked by voice alone.

A synthetic person speaks into the microphone and waits for the assistant's own voice to end. What the
assistant says is recorded from the loudspeaker and heard again by PocketSphinx with its own model, which
understands the voice used here (`flite slt`) best; the usual one is heard in `tests/voice`. The marks are
worked out here in closed form, by no code of the program.
"""

from __future__ import annotations

import math
import re

import pytest

from tests.end_to_end.conftest import Conversation
from tests.recognize import recognize

CENTER, HEIGHT = 34.5, 3.0
RADIUS = 4.0
"""Centerline radius of a one-shot bender, trade size 1/2: NEC Chapter 9 Table 2."""
OUTSIDE = 0.706
"""Outside diameter of EMT, trade size 1/2: ANSI C80.3."""
TAKE_UP = 5.0
"""Of a hand bender for EMT 1/2: Modern Residential Wiring 2011 p. 86."""
SIDE = math.radians(22.5)

MARKS = """
#JSGF V1.0;
grammar marks;
<unit> = one | two | three | four | five | six | seven | eight | nine;
<teen> = ten | eleven | twelve | thirteen | fourteen | fifteen | sixteen | seventeen | eighteen | nineteen;
<whole> = <unit> | <teen> | (twenty | thirty | forty | fifty) [<unit>];
<part> = a (half | quarter) | (one | three | five | seven) eighths | three quarters | one eighth | an eighth
       | (one | three | five | seven | nine | eleven | thirteen | fifteen) sixteenths | (one | a) sixteenth;
public <line> = mark (one | two | three | four) at <whole> [and <part>];
"""


def expected_marks() -> list[float]:
    """Marks of the three-point saddle, inches from the tape end.

    Each side is an offset of angle a and rise h, its arcs S = (h - 2R(1 - cos a)) / sin a apart,
    covering X = 2R sin a + S cos a of the wall. Its outer arc begins X before the center, the crown lies
    S + 2Ra further along the conduit. The arc begins b = take-up - R - d/2 from the arrow.
    """
    start = TAKE_UP - RADIUS - OUTSIDE / 2
    straight = (HEIGHT - 2 * RADIUS * (1 - math.cos(SIDE))) / math.sin(SIDE)
    covered = 2 * RADIUS * math.sin(SIDE) + straight * math.cos(SIDE)
    first = CENTER - covered
    crown = first + straight + 2 * RADIUS * SIDE
    return [first + RADIUS * SIDE + start, crown, crown + RADIUS * SIDE + straight - start]


def sixteenths_in(number: str) -> int:
    """`27 7/8"` in sixteenths of an inch."""
    found = re.fullmatch(r'(\d+)(?: (\d+)/(\d+))?"', number)
    assert found, number
    whole, over, under = (int(part) if part else 0 for part in found.groups())
    return whole * 16 + (over * 16 // under if under else 0)


def spoken(sixteenths: int) -> str:
    """A length as it is said, by num2words."""
    from num2words import num2words

    whole, part = divmod(sixteenths, 16)
    words: str = num2words(whole).replace("-", " ")
    if not part:
        return words
    scale = math.gcd(part, 16)
    over, under = part // scale, 16 // scale
    name = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth"}[under]
    return f"{words} and " + (f"{num2words(over)} {name}s" if over > 1 else f"one {name}")


@pytest.mark.timeout(400)
def test_a_saddle_by_voice_with_a_crash_in_the_middle(conversation: Conversation) -> None:
    talk = conversation
    assert "or skip" in talk.listen().printed.lower(), "a first start teaches"
    talk.ask("skip", "which conduit")
    talk.ask("half inch e m t", "which bend")
    turn = talk.ask("three point saddle, thirty four and a half to center, three high", "right?")
    assert "thirty-four and a half" in turn.printed.lower()
    assert "height three" in turn.printed.lower()

    marks = [talk.order("yes", "mark one"), talk.order("next", "mark two")]
    talk.assistant.crash()
    assert "step two of" in talk.listen().printed.lower()
    talk.order("yes", "mark two")
    marks.append(talk.order("next", "mark three"))
    for turn, exact in zip(marks, expected_marks(), strict=True):
        sixteenths = round(exact * 16)
        shown = re.search(r'MARK  (\S+(?: \S+)?")', turn.printed)
        assert shown, turn.printed
        assert sixteenths_in(shown[1]) == sixteenths
        said = recognize(turn.sound, MARKS)
        assert said.split(" at ")[-1].replace(" a ", " one ").replace(" an ", " one ") == spoken(sixteenths)

    talk.order("next", "rim notch on two. bend to forty-five degrees")
    talk.order("next", "handle down. arrow on one")
    talk.order("next", "swap ends. arrow on three")
    talk.order("next", "check it")
    talk.order("yes", "up by")
    talk.order("it fits", "daylight")
