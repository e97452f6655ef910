"""Every step of four jobs at four sizes in three themes, side by side: `python -m tests.screen.contact_sheets DIR`.

Writes one SVG a job, size and theme, each a sheet of all its steps; where rsvg-convert is installed, a PNG beside it.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

from bench.dialogue.effects import View
from bench.screen.meter import Sound
from bench.screen.page import Live, paint
from bench.screen.picture import picture
from tests.screen.test_legible_steps import JOBS, of_steps

SIZES = {"80x24": (80, 24), "120x40": (120, 40), "200x60": (200, 60), "phone": (60, 66)}
THEMES = ("dark", "light", "sunlight")
SHEETS = ("saddle", "rolling", "ninety", "mended")
_ACROSS = 1100.0
"""Units that one screen is wide on the sheet."""
_LIVE = Live(Sound(-28.0, -47.0))


def steps(job: str) -> list[View]:
    """The screens of a job that differ in more than what can be seen of them."""
    return list(dict.fromkeys(replace(view, said="", heard="next") for view in of_steps(JOBS[job])))


def sheet(views: list[View], size: tuple[int, int], theme: str, columns: int) -> str:
    """All screens as one SVG, in rows of `columns`."""
    drawings = [picture(paint(view, *size, _LIVE), *size, theme) for view in views]
    width, height = drawings[0].width, drawings[0].height
    scale = _ACROSS / width
    across, down = _ACROSS + 20, height * scale + 20
    placed = [
        f'<g transform="translate({at % columns * across:.1f},{at // columns * down:.1f}) scale({scale:.4f})">'
        f"{drawing.inside}</g>"
        for at, drawing in enumerate(drawings)
    ]
    rows = -(-len(drawings) // columns)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {columns * across:.0f} {rows * down:.0f}" '
        f'width="{columns * across:.0f}"><rect width="100%" height="100%" fill="#777"/>{"".join(placed)}</svg>'
    )


def main(folder: Path, only: list[str]) -> None:
    """Write every sheet whose name holds one of `only`, all without it."""
    folder.mkdir(parents=True, exist_ok=True)
    converter = shutil.which("rsvg-convert")
    for job in SHEETS:
        for name, size in SIZES.items():
            for theme in THEMES:
                target = folder / f"{job}-{name}-{theme}.svg"
                if only and not any(part in target.name for part in only):
                    continue
                columns = 6 if name == "phone" else 3
                target.write_text(sheet(steps(job), size, theme, columns), encoding="utf-8")
                if converter:
                    png = target.with_suffix(".png")
                    subprocess.run([converter, "-w", "2400", "-o", png, target], check=True)


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit(f"{__doc__}\nusage: python -m tests.screen.contact_sheets DIR [part of a name ...]")
    main(Path(sys.argv[1]), sys.argv[2:])
