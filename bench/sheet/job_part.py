"""The sheet's parts about the whole job: sections between boxes, materials, reminders, cautions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from bench.core.cautions import Step
from bench.core.lengths import angle_text
from bench.core.materials import Cutting
from bench.core.packing import CutStick
from bench.core.run import SectionPlan
from bench.language.write import written
from bench.sheet.contents import SheetJob
from bench.sheet.drawing import GAP, LEADING, Block, labeled, line, moved, shortened, stacked, words, wrapped
from bench.sheet.figures import built, built_note, item_text

_STEPS = {Step.START: "Before", Step.BEND: "Bending", Step.CUT: "Cutting", Step.FIT: "Fitting"}
_INSET = 6.0
_SHORT = 5
"""Most characters of a section's name after the word Run."""
_MOST_TIMES = 20
"""Above this nobody pulls by hand, and the figure is meaningless."""


def section_heading(name: str, width: float) -> Block:
    """The heading above the sticks of a section."""
    return Block(18, (words(0, -14, shortened(f"Run {name}", width, 14, bold=True), 14, bold=True),))


def section_part(job: SheetJob, section: SectionPlan, width: float) -> Block:
    """The totals of a section between two boxes: length, joints, supports, pull, and warnings."""
    count = len(section.section.sticks)
    said = [
        f"{count} stick{'s' if count > 1 else ''}, {built(section.length, job.units)} of conduit,"
        f" {angle_text(section.total_degrees)} of bend"
        f" ({angle_text(max(section.degrees_left, 0.0))} left before a pull point).",
        f"Straps at {_list(section.supports, job)} along it.",
    ]
    if section.joints:
        said.append(f"Couplings at {_list(section.joints, job)}.")
    if section.total_degrees:
        better = "first" if section.pull.feed_at_start else "last"
        said.append(
            f"The bends make the pull {_times(section.pull.whole)} harder; feed from the {better} box."
        )
    name = section.section.name
    short = len(name) < _SHORT
    parts = [
        labeled(f"Run {name}" if short else "Run", " ".join([*([] if short else [f"{name}:"]), *said]), width)
    ]
    parts += [labeled("Mind", built_note(note, job.units), width, bold=True) for note in section.warnings]
    return stacked(parts)


def _list(places: Sequence[Fraction], job: SheetJob) -> str:
    return ", ".join(built(place, job.units) for place in places)


def materials_part(job: SheetJob, width: float) -> Block:
    """The material list and the code's reminders."""
    items = "; ".join(item_text(item, job.units, job.names) for item in job.run.materials)
    reminders = " ".join(dict.fromkeys(built_note(note, job.units, job.names) for note in job.run.reminders))
    parts = [labeled("Materials", f"{items}.", width)]
    cuts = " ".join(cutting_text(one, job) for one in job.run.cuttings if one.packing.shared)
    if cuts:
        parts.append(labeled("Cuts", cuts, width))
    return stacked([*parts, labeled("Code", reminders, width)])


def cutting_text(cutting: Cutting, job: SheetJob) -> str:
    """How the sticks of one conduit are cut, identical ones grouped, and the remainder of each."""
    conduit = job.names.get(cutting.conduit, cutting.conduit.upper())
    alike = Counter(cutting.packing.sticks)
    sticks = "; ".join(_cut_stick(stick, count, job) for stick, count in alike.items())
    return f"{cutting.size} {conduit}: {sticks}."


def _cut_stick(stick: CutStick, count: int, job: SheetJob) -> str:
    pieces = ", ".join(
        f"{many} × {built(piece, job.units)}" if many > 1 else built(piece, job.units)
        for piece, many in Counter(stick.pieces).items()
    )
    times = f"{count} sticks of " if count > 1 else ""
    left = f", {built(stick.left, job.units)} left" if stick.left >= job.run.keep else ""
    return f"{times}{pieces}{left}"


def _times(factor: float) -> str:
    return f"{factor:.1f} times" if factor < _MOST_TIMES else f"more than {_MOST_TIMES} times"


def notes_part(job: SheetJob, width: float) -> Block:
    """The notes on the whole job."""
    parts = [labeled("Mind", written(note, job.units), width, bold=True) for note in job.notes]
    if job.not_recorded:
        said = f"Not recorded at the time: {', '.join(job.not_recorded)}."
        parts.append(labeled("Not known", said, width, bold=True))
    return stacked(parts)


def cautions_part(job: SheetJob, width: float) -> Block:
    """Every caution with its step, and who has authority over this sheet, in a frame."""
    inner = width - 2 * _INSET
    lines = wrapped(f"CAUTIONS. {job.cautions.deference_written}", inner, bold=True)
    parts = [Block(LEADING, (words(0, -LEADING + 2, each, bold=True),)) for each in lines]
    for step, title in _STEPS.items():
        said = " ".join(caution.written for caution in job.cautions.at(step))
        if said:
            parts.append(labeled(title, said, inner))
    within = stacked(parts, gap=1)
    height = within.height + 2 * GAP + 4
    corners = [(0.0, 0.0), (width, 0.0), (width, -height), (0.0, -height), (0.0, 0.0)]
    frame = [line(start, end, 1.4) for start, end in pairwise(corners)]
    return Block(height, (*frame, moved(within, _INSET, -GAP)))
