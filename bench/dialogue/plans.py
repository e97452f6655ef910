"""From what the person answered to what core works out. Pure, and remembered: a plan takes no time twice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from bench.core.bender import Bender, Setup
from bench.core.bends import work_out
from bench.core.lengths import Units, tape_scale
from bench.core.plan import Mark, Plan
from bench.core.stick import OnStick, Stick, lay_out, same_again
from bench.dialogue import effects
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.state import Place
from bench.job.model import JobBend, JobStick, Profile, Tools


def bender_in_hand(tools: Tools, knowledge: Knowledge) -> Bender:
    """The person's own bender, or the typical one. Raises BenchError for an impossible profile."""
    typical = knowledge.typical[tools.conduit, tools.size]
    profile: Profile | None = tools.profile
    if profile is None:
        return typical
    return typical.measured(profile.name, profile.take_up, profile.gain, profile.springback)


def setup_of(place: Place, units: Units, knowledge: Knowledge) -> Setup:
    """Conduit, bender, tape and stick in hand; a stick with bends keeps those it was begun with."""
    begun = place.stick.tools.complete
    tools, units = (place.stick.tools, place.stick.units) if begun else (place.tools, units)
    conduit = knowledge.conduits[tools.conduit, tools.size]
    return Setup(
        conduit, bender_in_hand(tools, knowledge), knowledge.trade, tape_scale(units), place.stick.length
    )


def plan_of(bend: JobBend, setup: Setup) -> Plan:
    """The plan of one bend. Raises BenchError saying what would work when it cannot be made."""
    return _plan(replace(bend, finished=False), setup)


def layout_of(stick: JobStick, setup: Setup, more: Sequence[JobBend] = ()) -> Stick:
    """All bends of a stick, and `more`, on one length. Raises BenchError when they do not go together."""
    return _layout((*stick.bends, *more), stick.shift, setup)


def whole_stick(place: Place, units: Units, knowledge: Knowledge) -> Stick:
    """The stick in hand with all its bends."""
    return layout_of(place.stick, setup_of(place, units, knowledge))


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


@lru_cache(maxsize=64)
def _plan(bend: JobBend, setup: Setup) -> Plan:
    return work_out(bend.kind, bend.measures, setup, bend.method)


@lru_cache(maxsize=64)
def _layout(bends: tuple[JobBend, ...], shift: Fraction, setup: Setup) -> Stick:
    finish = bends[-1].measures.get("to_end") if bends else None
    on_stick = [OnStick(plan_of(bend, setup), bend.roll, bend.from_end) for bend in bends]
    stick = lay_out(setup, on_stick, finish=finish if isinstance(finish, Fraction) else None)
    return same_again(stick, shift) if shift else stick
