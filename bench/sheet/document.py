"""The job sheet: pages of blocks, as PDF for printing and as a single SVG.

Pages are laid out here and not by reportlab's platypus, because PDF and SVG share the same shapes, and because the
type of the marks is as large as the fewest pages allow.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Drawing, Group, Shape
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.pdfgen.canvas import Canvas

from bench.core.lengths import Units
from bench.core.notes import BenchError
from bench.sheet.contents import SheetJob, SheetStick
from bench.sheet.drawing import (
    BODY,
    Block,
    line,
    moved,
    shortened,
    shown,
    stacked,
    width_of,
    words,
)
from bench.sheet.job_part import cautions_part, materials_part, notes_part, section_heading, section_part
from bench.sheet.legend import legend
from bench.sheet.output import file_name, write_next
from bench.sheet.stick_part import DENSITIES, Density, stick_parts

MARGIN = 24.0
"""Margin in points: more than the unprintable edge of an office printer."""
MOST_STICKS = 300
"""Most sticks on one sheet. More would be more paper than anybody carries to the bender."""
_GAP = 4.0
_HEAD, _FOOT = 36.0, 17.0
_WEIGHED = 24
"""Most sticks for which every density is tried. A longer job is set densely from the start."""

Kept = list[Block]
"""Blocks kept together on one page if they fit."""


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper size in points."""

    name: str
    width: float
    height: float

    @property
    def inner(self) -> float:
        """Width between the margins."""
        return self.width - 2 * MARGIN

    @property
    def room(self) -> float:
        """Height between head and foot."""
        return self.height - 2 * MARGIN - _HEAD - _FOOT


PAPERS = {name: Paper(name, *size) for name, size in (("letter", LETTER), ("a4", A4))}


def sheet_pdf(job: SheetJob, paper: str = "") -> bytes:
    """The job sheet as PDF. The default paper is letter for inches and A4 for metric.

    The same job gives the same bytes. Raises BenchError when the paper is unknown or the job too long.
    """
    sheet = _paper(paper, job.units)
    file = BytesIO()
    canvas = Canvas(file, pagesize=(sheet.width, sheet.height), invariant=1)
    canvas.setTitle(f"Job sheet: {shown(job.name)}")
    for page in pages(job, sheet):
        renderPDF.draw(page, canvas, 0, 0)
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def write_sheet(job: SheetJob, folder: Path) -> Path:
    """Write the job sheet into `folder` under a free name with its date, and return its absolute path.

    Raises BenchError when it cannot be written.
    """
    return write_next(folder, file_name("job sheet", job.date), ".pdf", sheet_pdf(job))


def sheet_svg(job: SheetJob, paper: str = "") -> str:
    """The job sheet as one SVG with its pages stacked. Raises like `sheet_pdf`."""
    from bench.sheet.svg import svg_text  # loads what outlines need, which the PDF does not

    sheet = _paper(paper, job.units)
    all_pages = pages(job, sheet)
    whole = Drawing(sheet.width, sheet.height * len(all_pages))
    for index, page in enumerate(all_pages):
        up = sheet.height * (len(all_pages) - 1 - index)
        whole.add(Group(*page.contents, transform=(1, 0, 0, 1, 0, up)))
    return svg_text(whole)


def pages(job: SheetJob, paper: Paper) -> list[Drawing]:
    """The pages of the sheet: as few as possible, with marks as large as that allows.

    Cautions and legend are at the foot of the first page. A stick is not split over pages unless it is taller than
    one. Raises BenchError when there are too many sticks.
    """
    refuse_too_many(len(job.sticks))
    foot = stacked([legend(paper.inner), cautions_part(job, paper.inner)], gap=_GAP)
    tried = DENSITIES if len(job.sticks) <= _WEIGHED else DENSITIES[-1:]
    dealt = [
        _dealt(list(_contents(job, density, paper.inner)), paper.room, foot.height + _GAP)
        for density in tried
    ]
    fitting = [each for each in dealt if _fits(each, paper.room)] or dealt[-1:]
    fewest = min(len(each) for each in fitting)
    chosen = next(each for each in fitting if len(each) == fewest)
    return [
        _page(job, paper, blocks, (number, fewest), foot if number == 1 else None)
        for number, blocks in enumerate(chosen, start=1)
    ]


def refuse_too_many(sticks: int) -> None:
    """Raise BenchError when there are too many sticks for one sheet."""
    if sticks > MOST_STICKS:
        remedy = f"Split the list. A sheet holds at most {MOST_STICKS}."
        raise BenchError(f"{sticks} sticks are too many for one sheet.", remedy, "sheet_too_long")


def _contents(job: SheetJob, density: Density, width: float) -> Iterator[Kept]:
    """Everything below the head of the sheet, in order: each section's sticks, then its totals."""
    if job.notes or job.not_recorded:
        yield [notes_part(job, width)]
    sections = {section.section.name: section for section in job.run.sections}
    named = [name for name in sections if any(entry.run == name for entry in job.sticks)]
    yield from _sticks(job, (entry for entry in job.sticks if entry.run not in sections), density, width)
    for name in [*named, *(name for name in sections if name not in named)]:
        title = [section_heading(name, width)] if len(named) > 1 and name in named else []
        own = _sticks(job, (entry for entry in job.sticks if entry.run == name), density, width)
        for blocks in own:
            yield [*title, *blocks]
            title = []
        yield [section_part(job, sections[name], width)]
    yield [materials_part(job, width)]


def _sticks(job: SheetJob, entries: Iterable[SheetStick], density: Density, width: float) -> Iterator[Kept]:
    return (stick_parts(job, entry, density, width) for entry in entries)


def _dealt(contents: Sequence[Kept], room: float, first: float) -> list[list[Block]]:
    """The kept blocks distributed over pages in order. `first` is subtracted from the first page's height."""
    dealt: list[list[Block]] = [[]]
    left = room - first
    for kept in contents:
        whole = stacked(kept)
        for block in [whole] if whole.height <= room else kept:
            if block.height > left and (dealt[-1] or len(dealt) == 1):
                dealt.append([])
                left = room
            dealt[-1].append(block)
            left -= block.height + _GAP
    return dealt


def _fits(dealt: Sequence[Sequence[Block]], room: float) -> bool:
    """Whether every block fits a page. A long table in large type may not."""
    return all(block.height <= room for page in dealt for block in page)


def _page(
    job: SheetJob, paper: Paper, blocks: Sequence[Block], number: tuple[int, int], foot: Block | None
) -> Drawing:
    drawing = Drawing(paper.width, paper.height)
    drawing.add(Group(*_head(job, paper, number), *_signatures(paper)))
    y = paper.height - MARGIN - _HEAD
    for block in blocks:
        drawing.add(moved(block, MARGIN, y))
        y -= block.height + _GAP
    if foot is not None:
        drawing.add(moved(foot, MARGIN, MARGIN + _FOOT + foot.height))
    return drawing


def _head(job: SheetJob, paper: Paper, number: tuple[int, int]) -> list[Shape]:
    """The head of a page: job, place, date and page number."""
    left, right, top = MARGIN, paper.width - MARGIN, paper.height - MARGIN
    date = f"Date: {job.date or '_' * 16}"
    page = f"Page {number[0]} of {number[1]}"
    name = shortened(f"Job sheet: {job.name}", paper.inner - width_of(page) - 12, 18, bold=True)
    place = shortened(f"Place: {job.place or '_' * 60}", paper.inner - width_of(date, 12) - 12, 12)
    return [
        words(left, top - 16, name, 18, bold=True),
        words(right, top - 16, page, anchor="end"),
        words(left, top - 31, place, 12),
        words(right, top - 31, date, 12, anchor="end"),
    ]


def _signatures(paper: Paper) -> list[Shape]:
    left, right = MARGIN, paper.width - MARGIN
    return [
        line((left, MARGIN + BODY + 3), (right, MARGIN + BODY + 3), 0.6),
        words(left, MARGIN, f"Bent by {'_' * 45}"),
        words(right, MARGIN, f"Checked by {'_' * 45}", anchor="end"),
    ]


def _paper(name: str, units: Units) -> Paper:
    chosen = name or ("a4" if units is Units.METRIC else "letter")
    if chosen not in PAPERS:
        raise BenchError(f"There is no paper {chosen!r}.", f"Choose one of: {', '.join(PAPERS)}.")
    return PAPERS[chosen]
