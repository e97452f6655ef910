"""Views of our own scenario that between them show every part of the screen."""

from __future__ import annotations

from fractions import Fraction

from bench.core.plan import Hook, Mark, Reference
from bench.core.simulate import simulate
from bench.data.bundle import knowledge
from bench.dialogue.effects import Stick, View
from bench.pictures.measured import Wanted, measured
from bench.pictures.scene import Scene
from bench.pictures.seated import Seat, seated
from bench.pictures.shape import Pipe, shape
from bench.pictures.turned import turned

SHOE = (10.0, 22.5, 30.0, 45.0, 60.0, 90.0)
COMMANDS = ("next", "back", "repeat", "where am I", "what can I say", "undo", "change", "stop listening")


def _mark(name: str, at: Fraction, bend: float, order: int) -> Mark:
    return Mark(
        name,
        at,
        Reference.ARROW if bend < 40 else Reference.NOTCH,
        Hook.TAPE_END,
        bend,
        0.0 if order == 1 else 180.0,
        order,
        bend + 2,
    )


MARKS = (
    _mark("1", Fraction(20) + Fraction(3, 8), 22.5, 2),
    _mark("2", Fraction(27) + Fraction(3, 8), 45.0, 1),
    _mark("3", Fraction(34) + Fraction(3, 8), 22.5, 3),
)

_KNOWN = knowledge()
_BENDER, _WORDS = _KNOWN.typical["emt", "3/4"], _KNOWN.words
_PATH = simulate(MARKS, _BENDER, 120.0)


def _whole(*bent: int, current: int | None = None) -> tuple[Scene, ...]:
    return shape(Pipe(_PATH, MARKS, float(_BENDER.od), bent, current), _WORDS)


def _seated(index: int, made: int, share: float) -> tuple[Scene, ...]:
    seat = Seat(MARKS[index], index + 1, (MARKS[made],), _BENDER, 120.0, bent=share)
    return (seated(seat, _WORDS), *_whole(made, current=index))


def _measured(key: str, value: str) -> tuple[Scene, ...]:
    scene = measured(Pipe(_PATH, MARKS, float(_BENDER.od), (0, 1, 2)), Wanted(key, value), _WORDS)
    assert scene is not None
    return (scene,)


MEASURE = View(
    verb="MEASURE",
    number="TO CENTER",
    title="Three point saddle, 3/4 EMT",
    lines=("How far from the end to the center?",),
    step=(1, 3),
    say=("a length", "repeat", "back", "what can I say", "stop listening"),
    said="How far from the end to the center of the obstruction?",
)
MARKING = View(
    verb="MARK",
    number='27 3/8"',
    title="Three point saddle, 3/4 EMT",
    lines=("Mark two, the center, from the tape end.",),
    step=(2, 3),
    say=COMMANDS,
    phrases=COMMANDS,
    said="Mark two at twenty-seven and three eighths.",
    heard="next",
    stick=Stick(120.0, MARKS, current=1),
    scenes=_whole(current=1),
)
BENDING = View(
    verb="BEND",
    number="24½°",
    title="Three point saddle, 3/4 EMT",
    lines=("Arrow on mark one. Hook toward the tape end.", "Between 22½ and 30 on the shoe."),
    step=(2, 3),
    say=COMMANDS,
    phrases=COMMANDS,
    said="Pull to twenty-four and a half, it springs back to twenty-two and a half.",
    heard="next",
    cautions=("Keep your foot hard on the shoe; mind the free end.",),
    stick=Stick(120.0, MARKS, 0, Reference.ARROW, Hook.TAPE_END, bent=(1,)),
    angle=24.5,
    shoe_angles=SHOE,
    scenes=_seated(0, 1, 1.0),
)
CHECKING = View(
    verb="CHECK",
    number='4 1/16"',
    title="Three point saddle, 3/4 EMT",
    lines=("Lay a level across both legs.", "Measure the height under the crown."),
    step=(1, 2),
    say=("fits", "a length", "too high", "too low", "dogleg", "repeat", "back"),
    said="Measure the height. Fits, or what do you measure?",
    level=0.0,
    scenes=_measured("rise", '4 1/16"'),
)
CONFIRMING = View(
    verb="CONFIRM",
    number="YES?",
    title="Three point saddle, 3/4 EMT",
    lines=('To the center 31 1/4"', 'Height 4"', 'Width 3 1/2"'),
    say=("yes", "no", "change", "repeat"),
    said="Thirty-one and a quarter, height four, width three and a half. Right?",
    heard="three and a half",
)
PAUSED = View(
    verb="MARK",
    number='27 3/8"',
    title="Three point saddle, 3/4 EMT",
    lines=("Say: start listening. Or press p.",),
    step=(2, 3),
    say=("start listening",),
    paused=True,
    stick=Stick(120.0, MARKS, current=1),
)
TROUBLED = View(
    verb="MARK",
    number='119 15/16"',
    title="Back to back, 1/2 EMT",
    lines=("Mark one, from the tape end.",),
    step=(1, 2),
    say=COMMANDS,
    phrases=COMMANDS,
    said="Mark one at one hundred nineteen and fifteen sixteenths.",
    troubles=("The microphone is gone. Plug it in again; keys and the pedal work meanwhile.",),
    stick=Stick(120.0, (_mark("1", Fraction(1919, 16), 90.0, 1),), 0),
)
DONE = View(
    verb="DONE",
    title="Three point saddle, 3/4 EMT",
    lines=("Bend done.", "Same again, another bend, or new stick?"),
    say=("same again", "another bend", "new stick", "finish", "sheet", "repeat"),
    said="Bend done. Same again, another bend, or new stick?",
)
METRIC = View(
    verb="MARK",
    number="1219 mm",
    title="Offset, 21 EMT",
    lines=("Mark one, from the tape end.",),
    step=(1, 2),
    say=COMMANDS,
    phrases=COMMANDS,
)

PUTTING = View(
    verb="PUT",
    number="3",
    title="Three point saddle, 3/4 EMT",
    step=(5, 17),
    say=COMMANDS,
    phrases=COMMANDS,
    said="Arrow on mark three. Hook toward the tape end.",
    stick=Stick(120.0, MARKS, 2, Reference.ARROW, Hook.TAPE_END, bent=(1,)),
    action=("arrow on 3", "hook: tape end"),
    scenes=_seated(2, 1, 0.0),
    action_alone=True,
)
TURNING = View(
    verb="TURN",
    number="90°",
    title="Three point saddle, 3/4 EMT",
    lines=("Line it up: no dogleg.",),
    step=(6, 17),
    say=COMMANDS,
    phrases=COMMANDS,
    said="Seen from the tape end, turn the conduit ninety degrees left.",
    stick=Stick(120.0, MARKS, 0, bent=(1,)),
    action=("90° left", "seen from tape end"),
    scenes=(turned(90.0, _WORDS), *_whole(1, current=0)),
    action_alone=True,
)
ADJUSTING = View(
    verb="ADJUST",
    number="4°",
    title="Three point saddle, 3/4 EMT",
    lines=('Then it should measure 2 1/2".',),
    say=COMMANDS,
    phrases=COMMANDS,
    said="Open the bend at mark one by two degrees. Open the bend at mark two by four degrees.",
    action=("open 2° at 1", "open 4° at 2", "open 2° at 3"),
    scenes=_whole(0, 1, 2),
    action_alone=True,
)
RIGHT = View(
    verb="RIGHT?",
    number="22½°",
    title="Three point saddle, 3/4 EMT",
    say=("yes", "no", "change", "repeat"),
    said="Center thirty-one and a quarter. Height two and a half. Angle twenty-two and a half. Right?",
    stick=Stick(120.0, MARKS),
    action=('Center 31 1/4"', 'Height 2 1/2"', "Angle 22½°"),
    scenes=_whole(),
    action_alone=True,
)
CHOOSING = View(
    verb="NEXT",
    number="DONE",
    title="Three point saddle, 3/4 EMT",
    lines=("90° of bend used, 270° left before a pull point.",),
    say=("same again", "add a bend", "new stick", "finish the job", "repeat"),
    said="Bent. Same again, another bend, or new stick?",
    choices=("same again", "add a bend", "new stick", "finish the job"),
    phrases=("same again", "add a bend", "new stick", "finish the job", *COMMANDS),
)

ASKING = View(
    verb="CHOOSE",
    number="PIPE?",
    title="Set up",
    say=("emt", "rigid", "intermediate", "repeat"),
    choices=("emt", "rigid", "intermediate", "aluminum", "pvc coated", "metric conduit"),
    said="Which conduit? E M T, rigid, or intermediate?",
)

VIEWS = {
    "ask": ASKING,
    "put": PUTTING,
    "turn": TURNING,
    "adjust": ADJUSTING,
    "right": RIGHT,
    "choose": CHOOSING,
    "measure": MEASURE,
    "mark": MARKING,
    "bend": BENDING,
    "check": CHECKING,
    "confirm": CONFIRMING,
    "paused": PAUSED,
    "trouble": TROUBLED,
    "done": DONE,
    "metric": METRIC,
}
