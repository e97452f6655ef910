"""A picture of the screen: `python -m tests.screen.screenshot out.svg`."""

from __future__ import annotations

import sys
from pathlib import Path

from bench.screen.page import paint
from bench.screen.picture import picture
from tests.screen.pictures import LIVE
from tests.screen.views import VIEWS


def main(target: Path, name: str = "mark", theme: str = "dark", size: str = "120x40") -> None:
    """Write one picture."""
    width, height = map(int, size.split("x"))
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text(
        picture(paint(VIEWS[name], width, height, LIVE), width, height, theme).svg, encoding="utf-8"
    )


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit(f"{__doc__}\nusage: python -m tests.screen.screenshot OUT.svg [view] [theme] [WxH]")
    main(Path(sys.argv[1]), *sys.argv[2:])
