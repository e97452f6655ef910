"""The screens kept as text, one file a view and size: `python -m tests.screen.pictures` writes them again.

Look at what changed before keeping it: `git diff tests/screen/golden`.
"""

from __future__ import annotations

from pathlib import Path

from bench.screen.meter import Sound
from bench.screen.page import Live, paint
from bench.screen.rows import text_of
from tests.screen.views import VIEWS

SIZES = ((80, 24), (100, 30), (120, 40), (160, 50), (240, 67))
TOO_SMALL = (39, 11)
FOLDER = Path(__file__).parent / "golden"
LIVE = Live(Sound(-28.0, -47.0))


def sizes_for(name: str) -> tuple[tuple[int, int], ...]:
    """The sizes a view is kept at: one of them also where the terminal is too small."""
    return (TOO_SMALL, *SIZES) if name in {"mark", "paused"} else SIZES


def kept(name: str, size: tuple[int, int]) -> Path:
    """The file of one view at one size."""
    return FOLDER / f"{name}-{size[0]}x{size[1]}.txt"


def trimmed(lines: list[str]) -> str:
    """Lines without trailing blanks."""
    return "\n".join(line.rstrip() for line in lines) + "\n"


def main() -> None:
    """Write every file."""
    FOLDER.mkdir(exist_ok=True)
    for name, view in VIEWS.items():
        for size in sizes_for(name):
            rows = paint(view, *size, LIVE).rows
            kept(name, size).write_text(trimmed([text_of(row) for row in rows]), encoding="utf-8")


if __name__ == "__main__":
    main()
