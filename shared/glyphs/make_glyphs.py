"""Draw the block glyphs of the screen from an open, legible font. For developers; not needed to run Bench.

    pip install -e '.[glyphs]'
    python shared/glyphs/make_glyphs.py

writes `shared/glyphs/NN.txt`, one file a size: NN is the height of a capital in terminal rows. A cell is
taken as twice as high as wide and holds two by two dots (quadrant blocks), so a dot is twice as high too.
Each glyph's ink is stretched to whole dots before it is sampled: every stroke that ends at the baseline, the
x-height or the cap height then ends exactly on a dot, and strokes come out equally thick.

The letter forms are those of Atkinson Hyperlegible Bold (Braille Institute of America, SIL Open Font License
1.1), made narrower so that a number fits the width of a terminal; width to height stays inside the 0.5 to 1
that ISO 9241-3 allows. The drawings are under the same license: see `OFL.txt` beside this file.
"""

from __future__ import annotations

import string
import sys
from pathlib import Path

from PIL import Image, ImageDraw, ImageFont

FONT = Path(__file__).parent / "AtkinsonHyperlegible-Bold.ttf"
EM = 1000
CAP, X_HEIGHT, OVERSHOOT = 668, 496, 20
NARROW = 0.88
INK = 0.47
"""Share of a dot that must be inked; a little under half keeps thin joins closed."""

NUMBER = "0123456789'\"°./-,m"
WORDS = string.ascii_letters + "?!:+()&="
SMALL = (3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 18, 20, 22, 24)
LARGE = (27, 30, 34, 38, 42, 48)
"""From here on only what a number needs, to keep the files small."""

BY_HAND = {(3, ":"): ["", "▝▘", "▗▖"]}
"""By rows and character, where the font's own form cannot be read: the two dots would touch, and look like an I."""

BLOCKS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""By the bits upper left 1, upper right 2, lower left 4, lower right 8."""


def snapped(height: int, rows: int) -> int:
    """Dots from the cap height down to `height` font units above the baseline, held to the nearest zone."""
    for zone in (CAP, X_HEIGHT, 0):
        if abs(height - zone) <= OVERSHOOT:
            height = zone
    return round((CAP - height) / CAP * rows * 2)


def dots(character: str, rows: int, font: ImageFont.FreeTypeFont) -> Image.Image:
    """The glyph in black and white, one pixel a dot, from the cap height down and from its ink rightwards."""
    page = Image.new("L", (2 * EM, 2 * EM))
    ImageDraw.Draw(page).text((EM // 2, EM), character, font=font, fill=255, anchor="ls")
    box = page.getbbox()
    assert box is not None, f"the font draws nothing for {character!r}"
    left, top, right, bottom = box
    first = max(0, snapped(EM - top, rows))
    last = max(first + 1, snapped(EM - bottom, rows))
    width = max(1, round((right - left) / CAP * rows * 4 * NARROW))
    ink = page.resize((width, last - first), Image.Resampling.BOX, box=box)
    glyph = Image.new("L", (width + width % 2, last + last % 2))
    glyph.paste(ink.point(lambda shade: 255 if shade >= 255 * INK else 0), (0, first))
    return glyph


def blocks(glyph: Image.Image) -> list[str]:
    """Two by two dots to one block character; rows without their trailing blanks."""
    lit = glyph.load()
    assert lit is not None

    def block(x: int, y: int) -> str:
        corners = ((0, 0), (1, 0), (0, 1), (1, 1))
        return BLOCKS[sum(1 << bit for bit, (dx, dy) in enumerate(corners) if lit[x + dx, y + dy])]

    return [
        "".join(block(x, y) for x in range(0, glyph.width, 2)).rstrip() for y in range(0, glyph.height, 2)
    ]


def page(rows: int, characters: str, font: ImageFont.FreeTypeFont) -> str:
    """One file: a head, then each glyph under a line that names it."""
    head = f"# {rows} rows to a capital. Made by make_glyphs.py; license in OFL.txt."
    glyphs = [
        f"= {c}\n" + "\n".join(BY_HAND.get((rows, c)) or blocks(dots(c, rows, font))) for c in characters
    ]
    return "\n".join([head, *glyphs]) + "\n"


def main(folder: Path) -> None:
    """Write every size into `folder`."""
    font = ImageFont.truetype(FONT, EM)
    for rows in (*SMALL, *LARGE):
        characters = NUMBER + (WORDS.replace("m", "") if rows in SMALL else "")
        (folder / f"{rows:02}.txt").write_text(page(rows, characters, font), encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
