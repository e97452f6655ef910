"""A run: sticks joined between boxes, the code's reminders, how hard it pulls, what to fetch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate

from bench.core.code import CodeLimits
from bench.core.lengths import SIXTEENTH, round_to
from bench.core.materials import Cutting, Item, cuttings, materials
from bench.core.notes import Note, Value
from bench.core.pull import Pull, pull
from bench.core.stick import Stick
from bench.core.supports import Span, supports


@dataclass(frozen=True, slots=True)
class Section:
    """Sticks between two pull points, in order; each begins at its own tape end."""

    name: str
    sticks: tuple[Stick, ...]


@dataclass(frozen=True, slots=True)
class SectionPlan:
    """What a section comes to.

    `joints` and `supports` are inches along the conduit from the first box. `degrees_left` of the limit is
    negative when over. `feed_at_start` says from which box the wire pulls easier.
    """

    section: Section
    length: Fraction
    total_degrees: float
    degrees_left: float
    joints: tuple[Fraction, ...]
    supports: tuple[Fraction, ...]
    pull: Pull
    warnings: tuple[Note, ...]

    @property
    def lengths(self) -> tuple[tuple[str, str, Fraction], ...]:
        """Conduit, trade size and length before cutting of each stick."""
        return tuple(
            (each.setup.conduit.kind, each.setup.conduit.size, each.length) for each in self.section.sticks
        )

    @property
    def pieces(self) -> tuple[Fraction, ...]:
        """Length of each stick as it goes into the run, inches."""
        return tuple(stick.used for stick in self.section.sticks)

    @property
    def straps(self) -> int:
        """How many supports hold the section."""
        return len(self.supports)


@dataclass(frozen=True, slots=True)
class Run:
    """A whole run with its material list, how its sticks are cut and the least offcut worth keeping, the degrees
    allowed between pull points, and the reminders that belong to it."""

    sections: tuple[SectionPlan, ...]
    materials: tuple[Item, ...]
    most_degrees: float
    reminders: tuple[Note, ...]
    cuttings: tuple[Cutting, ...] = ()
    keep: Fraction = Fraction(0)

    @property
    def cut_notes(self) -> tuple[Note, ...]:
        """What the cutting comes to, where a stick gives more than one piece."""
        return tuple(one.note(self.keep) for one in self.cuttings if one.packing.shared)


def plan_run(sections: Sequence[Section], limits: CodeLimits) -> Run:
    """Work out every section, the material list, and reminders that defer to the local code."""
    planned = tuple(_plan(section, limits) for section in sections if section.sticks)
    cut = cuttings(planned, limits.saw.kerf)
    most, reminders = limits.bends.most_degrees, _reminders(planned, limits)
    return Run(planned, materials(planned, cut), most, reminders, cut, limits.saw.keep)


def _plan(section: Section, limits: CodeLimits) -> SectionPlan:
    sticks = section.sticks
    starts = [Fraction(0), *accumulate(stick.used for stick in sticks)]
    length, joints = starts[-1], tuple(starts[1:-1])
    arcs = [
        (float(at) + s, float(at) + e, a)
        for at, stick in zip(starts, sticks, strict=False)
        for s, e, a in _arcs(stick)
    ]
    degrees = sum(stick.total_degrees for stick in sticks)
    keep_off: list[Span] = [(start, end) for start, end, _ in arcs]
    room = float(limits.joints.straight)
    keep_off += [(float(joint) - room, float(joint) + room) for joint in joints]
    conduit = sticks[0].setup.conduit
    places, unsupported = supports(float(length), keep_off, limits.support(conduit.kind, conduit.size))
    edges = [0.0, *(edge for start, end, _ in arcs for edge in (start, end)), float(length)]
    straights = [end - start for start, end in zip(edges[::2], edges[1::2], strict=True)]
    radius = sticks[0].setup.bender.radius
    drag = pull(straights, [angle for _, _, angle in arcs], limits.pull.friction, radius)
    warnings = (*limits.bends.warn(degrees), *_bends_at_joints(section, limits), *unsupported)
    return SectionPlan(section, length, degrees, limits.bends.left(degrees), joints, places, drag, warnings)


def _arcs(stick: Stick) -> list[tuple[float, float, float]]:
    radius = stick.setup.bender.radius
    return [(arc.start, arc.end(radius), arc.angle) for arc in stick.path.arcs]


def _bends_at_joints(section: Section, limits: CodeLimits) -> tuple[Note, ...]:
    """Ends of sticks with too little straight conduit for a coupling or connector."""
    notes = []
    for number, stick in enumerate(section.sticks, start=1):
        spans = _arcs(stick)
        if not spans:
            continue
        for code, room in (("start", spans[0][0]), ("far", float(stick.used) - spans[-1][1])):
            if room < float(limits.joints.straight):
                values = _values(stick=number, room=round_to(room, SIXTEENTH), needed=limits.joints.straight)
                end = "tape end" if code == "start" else "far end"
                template = (
                    f"Stick {{stick}}: only {{room}} straight at the {end}; a fitting wants {{needed}}."
                )
                notes.append(Note(f"bend_at_{code}_joint", template, values))
    return tuple(notes)


def _reminders(sections: Sequence[SectionPlan], limits: CodeLimits) -> tuple[Note, ...]:
    """What the code says of these sections, each figure once, and last that the local code decides."""
    notes = []
    for kind, size in dict.fromkeys((kind, size) for plan in sections for kind, size, _ in plan.lengths):
        rule = limits.support(kind, size)
        values = _values(conduit=kind, near=rule.from_box, every=rule.every)
        notes.append(Note("support", "Fasten {conduit} within {near} of each box and every {every}.", values))
        wider = limits.straight_spacing(kind, size)
        if wider is not None and wider > rule.every:
            values = _values(size=size, conduit=kind, every=wider)
            template = "Straight {size} {conduit} with threaded couplings: up to {every}."
            notes.append(Note("support_straight", template, values))
    most = _values(most=limits.bends.most_degrees)
    notes.append(Note("bends_between", "At most {most} of bend between pull points, offsets counted.", most))
    return (*notes, Note("deference", limits.deference.written))


def _values(**values: Value) -> dict[str, Value]:
    return values
