"""From the place in hand to what the job's layout makes of it. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from bench.core.bender import Setup
from bench.core.lengths import Units, tape_scale
from bench.core.notes import BenchError
from bench.core.plan import Mark
from bench.core.stick import Stick
from bench.dialogue import effects
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.state import Place
from bench.job import layout
from bench.job.layout import as_spoken, bender_of, from_spoken, laid_out, spoken_now
from bench.job.model import JobBend, JobStick


def setup_of(place: Place, units: Units, knowledge: Knowledge) -> Setup:
    """Conduit, bender, tape and stick in hand; a stick with bends keeps those it was begun with."""
    if place.stick.bends and place.stick.tools.complete:
        return layout.setup_of(place.stick, knowledge)
    tools = place.tools
    conduit = knowledge.conduits[tools.conduit, tools.size]
    bender = bender_of(tools, knowledge)
    return Setup(conduit, bender, knowledge.trade, tape_scale(units), place.stick.length)


def stick_of(place: Place, setup: Setup, more: Sequence[JobBend] = ()) -> Stick:
    """The stick in hand with its marks as spoken, and `more` bends on it. Raises BenchError when they do not
    go together."""
    return as_spoken(laid_out(place.stick, setup, more), place.stick.spoken)


def whole_stick(place: Place, units: Units, knowledge: Knowledge) -> Stick:
    """The stick in hand with all its bends; where they can no longer be worked out, its marks as spoken."""
    setup = setup_of(place, units, knowledge)
    try:
        return stick_of(place, setup)
    except BenchError:
        if place.stick.spoken is None:
            raise
        return from_spoken(place.stick, setup)


def told(stick: JobStick, setup: Setup) -> JobStick:
    """The stick with its marks as they will be spoken, those spoken before unchanged."""
    return stick.told(spoken_now(as_spoken(laid_out(stick, setup), stick.spoken)))


def marks_to_make(place: Place, stick: Stick) -> tuple[int, ...]:
    """Indexes into the stick's marks of bends not yet made, in order of position."""
    return tuple(index for index, owner in enumerate(stick.whose) if not place.stick.bends[owner].finished)


def drawing(
    stick: Stick, made: Sequence[int] = (), current: int | None = None, seated: bool = False
) -> effects.Stick:
    """The stick as the screen draws it; the bender is drawn on the current mark when it is seated there."""
    mark: Mark | None = stick.marks[current] if current is not None else None
    return effects.Stick(
        length=float(stick.length),
        marks=stick.marks,
        current=current,
        reference=mark.reference if mark and seated else None,
        hook=mark.hook if mark and seated else None,
        bent=tuple(made),
    )
