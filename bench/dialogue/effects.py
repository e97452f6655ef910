"""What the dialogue wants done. It never does anything itself."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from bench.core.plan import Hook, Mark, Reference
from bench.job.learning import Learning
from bench.job.model import Profile
from bench.job.records import Record
from bench.language.meaning import Expectation
from bench.pictures.scene import Scene


@dataclass(frozen=True, slots=True)
class Say:
    """Speak these words: no digits, no fraction marks. A new Say replaces the one being spoken."""

    words: str


@dataclass(frozen=True, slots=True)
class Hush:
    """Stop speaking at once."""


@dataclass(frozen=True, slots=True)
class Stick:
    """The pipe as the screen draws it: inches along the stick, marks in order of position.

    `current` indexes `marks`, the one in hand; `bent` are the indexes of bends already made.
    """

    length: float
    marks: tuple[Mark, ...]
    current: int | None = None
    reference: Reference | None = None
    hook: Hook | None = None
    bent: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class View:
    """One screenful. `number` is the huge one, with its unit (`27 3/8"`, `22½°`, `3/4"`), or a short word.

    `verb` says what to do with it (MARK, BEND, TURN, MEASURE, CHECK ...), `which` the mark it is about.
    `action` is the instruction, a few words a line, in block letters under the number, over it where `action_first`,
    or in its place where `action_alone`, because it tells the number too. `lines` are what else to know, most
    important first. `step` is (this, of how many). `say` lists what can be said now. `said` is the sentence
    spoken, `heard` what was last heard. `paused` is told by words and shape, not color alone. `angle` is the
    angle to pull to, drawn against `shoe_angles`, the marks on the shoe; `level` the tilt to expect of a
    level laid on the pipe, 0 for level. All three are degrees. `scenes` are drawings of the step, the most
    important first. `choices` are the answers there are where no number is asked, `phrases` everything that can be
    said as it stands: each is taken when it is typed or tapped. `typed` tells that a number is asked.
    """

    verb: str
    number: str = ""
    title: str = ""
    lines: tuple[str, ...] = ()
    step: tuple[int, int] | None = None
    say: tuple[str, ...] = ()
    said: str = ""
    heard: str = ""
    paused: bool = False
    cautions: tuple[str, ...] = ()
    troubles: tuple[str, ...] = ()
    stick: Stick | None = None
    angle: float | None = None
    shoe_angles: tuple[float, ...] = ()
    level: float | None = None
    which: str = ""
    action: tuple[str, ...] = ()
    action_alone: bool = False
    action_first: bool = False
    scenes: tuple[Scene, ...] = ()
    choices: tuple[str, ...] = ()
    phrases: tuple[str, ...] = ()
    typed: bool = False


@dataclass(frozen=True, slots=True)
class Show:
    """Show this on the screen."""

    view: View


@dataclass(frozen=True, slots=True)
class Listen:
    """Only this can be said from now on."""

    expectation: Expectation


@dataclass(frozen=True, slots=True)
class KeepBender:
    """Keep this bender among the person's own. It replaces one of the same name, conduit and size."""

    profile: Profile


@dataclass(frozen=True, slots=True)
class ForgetBender:
    """Remove this bender from the person's own."""

    profile: Profile


@dataclass(frozen=True, slots=True)
class KeepLearning:
    """Keep what was learned of a bender, in place of what was known of it."""

    learning: Learning


class Tuning(StrEnum):
    """What can be turned up or down: how loud the voice is, how fast."""

    VOLUME = "volume"
    RATE = "rate"


@dataclass(frozen=True, slots=True)
class Tune:
    """Turn the voice one step: up is +1, down is -1."""

    what: Tuning
    by: int


class Look(StrEnum):
    """A change of how the screen looks: its colors, or how large its letters are."""

    DARK = "dark"
    LIGHT = "light"
    SUNLIGHT = "sunlight"
    BIGGER = "bigger"
    SMALLER = "smaller"


@dataclass(frozen=True, slots=True)
class Restyle:
    """Change how the screen looks; it is kept."""

    look: Look


class Tone(StrEnum):
    """Short sounds that are not speech."""

    HEARD = "heard"
    NOT_UNDERSTOOD = "not_understood"


@dataclass(frozen=True, slots=True)
class Earcon:
    """Play one of the short sounds."""

    tone: Tone


@dataclass(frozen=True, slots=True)
class WriteSheet:
    """Write the job sheet of the job so far."""


@dataclass(frozen=True, slots=True)
class FindJobs:
    """Look up the jobs kept; `asked` is the name that is looked for, blank for all."""

    asked: str = ""


@dataclass(frozen=True, slots=True)
class Finish:
    """The person is done; close the assistant."""


Effect = (
    Say
    | Hush
    | Show
    | Listen
    | Record
    | KeepBender
    | ForgetBender
    | KeepLearning
    | Tune
    | Restyle
    | Earcon
    | WriteSheet
    | FindJobs
    | Finish
)
