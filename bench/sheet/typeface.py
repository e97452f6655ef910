"""The typeface of paper, Atkinson Hyperlegible: embedded in the PDF, drawn as outlines in SVG.

A sheet is printed and shown on machines whose fonts are unknown. A substitute of other widths would run over the margin
and put one mark into the next.
"""

from __future__ import annotations

from functools import cache
from io import BytesIO

from reportlab.pdfbase import pdfmetrics, ttfonts

from bench.data.files import damaged, read_bytes

_FACES = {False: "AtkinsonHyperlegible-Regular", True: "AtkinsonHyperlegible-Bold"}


def face(bold: bool) -> str:
    """The name by which reportlab knows the regular or the bold face. Raises BenchError when its file is damaged."""
    return _registered(bold)


def is_bold(name: str) -> bool:
    """Whether this is the name of the bold face."""
    return name == _FACES[True]


@cache
def has(letter: str) -> bool:
    """Whether both faces have this letter."""
    return all(ord(letter) in pdfmetrics.getFont(face(bold)).face.charToGlyph for bold in _FACES)


def file_of(bold: bool) -> str:
    """The file of a face in `shared/`."""
    return f"glyphs/{_FACES[bold]}.ttf"


@cache
def _registered(bold: bool) -> str:
    try:
        pdfmetrics.registerFont(ttfonts.TTFont(_FACES[bold], BytesIO(read_bytes(file_of(bold)))))
    except ttfonts.TTFError as error:
        raise damaged(file_of(bold), error) from error
    return _FACES[bold]
