"""Everything the sheet says about one stick and about the whole job, as blocks to be set one under
another."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from reportlab.graphics.shapes import Group, Shape

from bench.core.cautions import Step
from bench.core.corrections import checks
from bench.core.lengths import angle_text, text
from bench.core.notes import Note
from bench.core.run import SectionPlan
from bench.core.stick import Stick
from bench.language.write import written, written_value
from bench.sheet.draw import BODY, LEADING, Block, line, width_of, words, wrapped
from bench.sheet.finished_drawing import finished_block
from bench.sheet.job import SheetJob, SheetStick
from bench.sheet.straight import legend, straight_block
from bench.sheet.table import table_block

_GAP = 8.0
_BULLET = "• "


def stick_block(job: SheetJob, entry: SheetStick, width: float, shape_height: float = 130.0) -> Block:
    """One stick: heading, the marked stick, bend table, finished shape, totals, checks and warnings."""
    stick = entry.stick
    setup = stick.setup
    parts = [
        _heading(job, entry, width),
        straight_block(stick.length, stick.marks, stick.cut_at, job.units, width),
    ]
    if stick.marks:
        parts += [
            table_block(stick, job.units, width),
            finished_block(stick.path, setup.od, job.units, width, shape_height),
        ]
    parts.append(paragraph(_totals(job, stick), width))
    parts += [bullet(f"Check: {said}", width) for said in _checks(job, stick)]
    parts += [bullet(f"Mind: {said}", width, bold=True) for said in _warnings(job, stick)]
    return stacked(parts)


def _heading(job: SheetJob, entry: SheetStick, width: float) -> Block:
    setup = entry.stick.setup
    many = f"  (make {entry.copies})" if entry.copies > 1 else ""
    bender = "typical bender" if setup.bender.typical else f"bender {setup.bender.name}"
    right = f"{setup.conduit.size} {job.word(setup.conduit.kind)}, {bender}"
    taken = f"take-up {text(setup.bender.take_up, job.units)}, gain {text(setup.bender.gain, job.units)}"
    shapes = (
        line((0, -1), (width, -1), 1.6),
        words(0, -18, f"Stick {entry.name}{many}", 14, bold=True),
        words(width, -12, right, bold=True, anchor="end"),
        words(width, -25, taken, anchor="end"),
    )
    return Block(28, shapes)


def _totals(job: SheetJob, stick: Stick) -> str:
    most = angle_text(job.run.most_degrees)
    said = [f"Bends {angle_text(stick.total_degrees)} of {most} between pull points."]
    if stick.cut_at is not None:
        said.append(f"Cut at {text(stick.cut_at, job.units)}; {text(stick.remnant, job.units)} left over.")
    said += [_of_bend(job, number, stick) for number in range(len(stick.bends))]
    return " ".join(said)


def _of_bend(job: SheetJob, index: int, stick: Stick) -> str:
    plan, units = stick.bends[index].plan, job.units
    own = [mark.name for mark, owner in zip(stick.marks, stick.whose, strict=True) if owner == index]
    marks = f"Mark {own[0]}" if len(own) == 1 else f"Marks {own[0]} to {own[-1]}"
    method = "by the book" if plan.chosen.method == "book" else "for this bender"
    asked = ", ".join(_measure(key, value, job) for key, value in plan.inputs.items())
    amounts = (("shrink", plan.shrink), ("gain", plan.gain), ("bent length", plan.developed))
    takes = ", ".join(f"{name} {text(amount, units)}" for name, amount in amounts)
    return f"{marks}: {job.word(plan.bend)} {method}; {asked}; {takes}."


def _measure(key: str, value: object, job: SheetJob) -> str:
    if not isinstance(value, int | float | str):
        value = text(value, job.units)  # type: ignore[arg-type]
        return f"{job.word(key)} {value}"
    return f"{job.word(key)} {written_value(value, job.units)}"


def _checks(job: SheetJob, stick: Stick) -> Iterable[str]:
    for number, bend in enumerate(stick.bends, start=1):
        own = f"bend {number}, " if len(stick.bends) > 1 else ""
        found = [written(check.note, job.units).rstrip(".") for check in checks(bend.plan, stick.setup)]
        yield own + "; ".join(found) + "."


def _warnings(job: SheetJob, stick: Stick) -> Iterable[str]:
    notes: dict[str, None] = dict.fromkeys(written(note, job.units) for note in stick.warnings)
    for bend in stick.bends:
        notes |= dict.fromkeys(written(note, job.units) for note in bend.plan.warnings)
    return notes


def section_block(job: SheetJob, section: SectionPlan, width: float) -> Block:
    """What a section of the run comes to: length, joints, supports, pull, and warnings."""
    units = job.units
    said = [
        f"{len(section.section.sticks)} sticks, {text(section.length, units)} of conduit,"
        f" {angle_text(section.total_degrees)} of bend ({angle_text(max(section.degrees_left, 0.0))} left).",
        f"Straps at {_list(section.supports, job)} along the conduit.",
    ]
    if section.joints:
        said.append(f"Couplings at {_list(section.joints, job)}.")
    if section.total_degrees:
        better = "first" if section.pull.feed_at_start else "last"
        said.append(
            f"The bends make the pull {section.pull.whole:.1f} times harder; feed from the {better} box."
        )
    parts = [heading(f"Run {section.section.name}", width), paragraph(" ".join(said), width)]
    parts += [bullet(f"Mind: {written(note, units)}", width, bold=True) for note in section.warnings]
    return stacked(parts)


def _list(places: Sequence[object], job: SheetJob) -> str:
    return ", ".join(text(place, job.units) for place in places)  # type: ignore[arg-type]


def materials_block(job: SheetJob, width: float) -> Block:
    """The material list, two items a line where they fit."""
    lines = [_named(item.note, job) for item in job.run.materials]
    return stacked([heading("Materials", width), *(bullet(said, width) for said in lines)])


def _named(note: Note, job: SheetJob) -> str:
    values = {key: job.word(value) if isinstance(value, str) else value for key, value in note.values.items()}
    return written(Note(note.code, note.template, values), job.units)


def reminders_block(job: SheetJob, width: float) -> Block:
    """The code's reminders and who decides."""
    said = [_named(note, job) for note in job.run.reminders]
    return stacked([heading("Code reminders", width), *(bullet(each, width) for each in said)])


def cautions_block(job: SheetJob, width: float) -> Block:
    """Every caution, at its step, and who comes before this sheet."""
    titles = {Step.START: "Before", Step.BEND: "Bending", Step.CUT: "Cutting", Step.FIT: "Fitting"}
    parts = [heading("Cautions", width), paragraph(job.cautions.deference_written, width, bold=True)]
    for step, title in titles.items():
        parts += [bullet(f"{title}: {caution.written}", width) for caution in job.cautions.at(step)]
    return stacked(parts)


def legend_block(width: float) -> Block:
    """What the signs on the drawings mean."""
    y = -BODY
    own = "Marks are along the straight conduit from the tape end; roll is the turn from the first bend."
    return Block(2 * LEADING, (*legend(0, y), words(0, y - LEADING, own)))


def heading(said: str, width: float) -> Block:
    """A title over a rule."""
    return Block(20, (line((0, -1), (width, -1), 1.2), words(0, -15, said, 12, bold=True)))


def paragraph(said: str, width: float, bold: bool = False) -> Block:
    """Running text."""
    lines = wrapped(said, width, bold=bold)
    return Block(
        len(lines) * LEADING,
        tuple(words(0, -BODY - i * LEADING, each, bold=bold) for i, each in enumerate(lines)),
    )


def bullet(said: str, width: float, bold: bool = False) -> Block:
    """One item of a list, its further lines set in."""
    indent = width_of(_BULLET)
    lines = wrapped(said, width - indent, bold=bold)
    shapes = [words(indent, -BODY - i * LEADING, each, bold=bold) for i, each in enumerate(lines)]
    return Block(len(lines) * LEADING, (words(0, -BODY, _BULLET.strip()), *shapes))


def stacked(parts: Sequence[Block], gap: float = 3.0) -> Block:
    """Blocks one under another as one block."""
    shapes: list[Shape] = []
    y = 0.0
    for part in parts:
        shapes.append(Group(*part.shapes, transform=(1, 0, 0, 1, 0, y)))
        y -= part.height + gap
    return Block(-y - gap if parts else 0.0, tuple(shapes))
