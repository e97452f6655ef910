"""Plain lines in place of the screen: for typing, pipes, logs and screen readers."""

from __future__ import annotations

import sys
from typing import TextIO

from bench.data.screen_words import screen_words
from bench.dialogue.effects import Look, View
from bench.language.write import printable


class PlainDisplay:
    """Prints each screenful as one line: what to do, the number, the sentence spoken; first that it is paused."""

    def __init__(self, out: TextIO | None = None) -> None:
        self._out = out or sys.stdout

    def show(self, view: View) -> None:
        """One line for the view, and one for each trouble with it."""
        for line in line_of(view):
            self._print(line)

    def level(self, dbfs: float, floor: float, clipped: bool) -> None:
        """Plain lines show no meter."""

    def hearing(self, words: str) -> None:
        """Plain lines show what was heard once it is whole, by the reply."""

    def notice(self, words: str) -> None:
        """A line of its own."""
        self._print(f"  {words}")

    def restyle(self, look: Look) -> None:
        """Plain lines look as the terminal has them."""

    def leave(self) -> None:
        """Nothing to close."""

    def _print(self, line: str) -> None:
        """One line, whatever a name or a device in it tries to do."""
        print(printable(line), file=self._out, flush=True)


def line_of(view: View) -> list[str]:
    """`MARK  27 3/8"  |  Mark one at twenty-seven and three eighths.` and the troubles beneath it."""
    paused = screen_words().paused if view.paused else ""
    head = "  ".join(part for part in (paused, view.verb, view.number) if part)
    line = f"{head}  |  {view.said}" if view.said else head
    return [line, *(f"  ! {trouble}" for trouble in view.troubles)]
