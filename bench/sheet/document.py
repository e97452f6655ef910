"""The job sheet: pages of blocks, as PDF for a printer and as one SVG."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

from reportlab.graphics import renderPDF, renderSVG
from reportlab.graphics.shapes import Drawing, Group, Shape
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.pdfgen.canvas import Canvas

from bench.core.lengths import Units
from bench.core.notes import BenchError
from bench.sheet.blocks import (
    cautions_block,
    legend_block,
    materials_block,
    reminders_block,
    section_block,
    stick_block,
)
from bench.sheet.draw import BODY, BOLD, REGULAR, Block, line, width_of, words
from bench.sheet.job import SheetJob
from bench.sheet.output import file_name, write_file, write_next

MARGIN = 40.0
"""Points kept free all round: more than the unprintable edge of an office printer."""
_GAP = 12.0
_HEAD, _FOOT = 30.0, 20.0
_SVG = "http://www.w3.org/2000/svg"
_TYPEFACES = "Helvetica, Arial, 'Liberation Sans', sans-serif"


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet of paper, points."""

    name: str
    width: float
    height: float


PAPERS = {name: Paper(name, *size) for name, size in (("letter", LETTER), ("a4", A4))}


def sheet_pdf(job: SheetJob, paper: str = "") -> bytes:
    """The job sheet as PDF. The paper is letter for inches and A4 for metric unless named.

    The same job gives the same bytes. Raises BenchError when the paper is unknown.
    """
    sheet = _paper(paper, job.units)
    file = BytesIO()
    canvas = Canvas(file, pagesize=(sheet.width, sheet.height), invariant=1)
    canvas.setTitle(f"Job sheet: {job.name}")
    for page in pages(job, sheet):
        renderPDF.draw(page, canvas, 0, 0)
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def write_sheet(job: SheetJob, folder: Path) -> Path:
    """Write the job sheet into `folder` under a free name with its date; its whole path.

    Raises BenchError when it cannot be written.
    """
    return write_next(folder, file_name("job sheet", job.date), ".pdf", sheet_pdf(job))


def job_sheet_pdf(job: SheetJob, path: Path, paper: str = "") -> None:
    """Write the job sheet as a new file at `path`. Raises BenchError when it cannot be written."""
    write_file(path, sheet_pdf(job, paper))


def sheet_svg(job: SheetJob, paper: str = "") -> str:
    """The job sheet as one SVG, its pages one under another."""
    sheet = _paper(paper, job.units)
    all_pages = pages(job, sheet)
    whole = Drawing(sheet.width, sheet.height * len(all_pages))
    for index, page in enumerate(all_pages):
        up = sheet.height * (len(all_pages) - 1 - index)
        whole.add(Group(*page.contents, transform=(1, 0, 0, 1, 0, up)))
    return svg_text(whole)


def svg_text(drawing: Drawing) -> str:
    """A drawing as SVG in a typeface every machine has; weight, fill and line ends as SVG spells them.

    Every line of type is told its length, so that a machine with a wider typeface keeps the layout.
    """
    drawn = str(renderSVG.drawToString(drawing)).replace("fill: None", "fill: none")
    drawn = drawn.replace("stroke-linecap: round", "stroke-linecap: butt")
    ElementTree.register_namespace("", _SVG)
    root = ElementTree.fromstring(drawn.encode())
    for element in root.iter(f"{{{_SVG}}}text"):
        style = element.get("style", "")
        bold, size = BOLD in style, float(style.split("font-size: ")[1].split("px")[0])
        face = f"font-weight: bold; font-family: {_TYPEFACES}" if bold else f"font-family: {_TYPEFACES}"
        element.set("style", style.replace(f"font-family: {BOLD if bold else REGULAR}", face))
        element.set("lengthAdjust", "spacingAndGlyphs")
        element.set("textLength", f"{width_of((element.text or '').strip(), size, bold):.2f}")
    return ElementTree.tostring(root, encoding="unicode")


def pages(job: SheetJob, paper: Paper) -> list[Drawing]:
    """The pages of the sheet. A block never runs over a page: a stick is read as one picture."""
    width = paper.width - 2 * MARGIN
    blocks = [stick_block(job, entry, width) for entry in job.sticks]
    blocks += [section_block(job, section, width) for section in job.run.sections]
    blocks += [materials_block(job, width), reminders_block(job, width), cautions_block(job, width)]
    room = paper.height - 2 * MARGIN - _HEAD - _FOOT
    filled = _filled([legend_block(width), *blocks], room)
    return [
        _page(job, paper, blocks_here, number, len(filled))
        for number, blocks_here in enumerate(filled, start=1)
    ]


def _filled(blocks: Sequence[Block], room: float) -> list[list[Block]]:
    """Blocks dealt onto pages in order."""
    dealt: list[list[Block]] = [[]]
    left = room
    for block in blocks:
        if dealt[-1] and block.height > left:
            dealt.append([])
            left = room
        dealt[-1].append(block)
        left -= block.height + _GAP
    return dealt


def _page(job: SheetJob, paper: Paper, blocks: Sequence[Block], number: int, count: int) -> Drawing:
    drawing = Drawing(paper.width, paper.height)
    drawing.add(Group(*_frame(job, paper, number, count)))
    y = paper.height - MARGIN - _HEAD
    for block in blocks:
        drawing.add(Group(*block.shapes, transform=(1, 0, 0, 1, MARGIN, y)))
        y -= block.height + _GAP
    return drawing


def _frame(job: SheetJob, paper: Paper, number: int, count: int) -> list[Shape]:
    """Title above, who bent and checked it below."""
    left, right, top = MARGIN, paper.width - MARGIN, paper.height - MARGIN
    foot = MARGIN - 4
    return [
        words(left, top - 16, f"Job sheet: {job.name}", 18, bold=True),
        words(right, top - 16, f"Page {number} of {count}", anchor="end"),
        words(left, foot, f"Date {job.date or '____________'}"),
        words(left + 130, foot, "Bent by ______________________"),
        words(right, foot, "Checked by ____________________", anchor="end"),
        line((left, foot + BODY + 4), (right, foot + BODY + 4), 0.6),
    ]


def _paper(name: str, units: Units) -> Paper:
    chosen = name or ("a4" if units is Units.METRIC else "letter")
    if chosen not in PAPERS:
        raise BenchError(f"There is no paper {chosen!r}.", f"Choose one of: {', '.join(PAPERS)}.")
    return PAPERS[chosen]
