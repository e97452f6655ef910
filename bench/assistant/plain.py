"""Plain lines instead of the screen, for typing, pipes, logs and screen readers."""

from __future__ import annotations

import sys
from typing import TextIO

from bench.data.screen_words import screen_words
from bench.dialogue.effects import Look, View
from bench.language.write import printable


class PlainDisplay:
    """Prints each view as one line: "paused" if it is, what to do, the number, the sentence spoken."""

    def __init__(self, out: TextIO | None = None) -> None:
        self._out = out or sys.stdout

    def show(self, view: View) -> None:
        """Print one line for the view and one for each problem."""
        for line in line_of(view):
            self._print(line)

    def level(self, dbfs: float, floor: float, clipped: bool) -> None:
        """Do nothing: plain lines show no meter."""

    def hearing(self, words: str) -> None:
        """Do nothing: plain lines show what was heard with the reply."""

    def notice(self, words: str) -> None:
        """Print the notice on its own line."""
        self._print(f"  {words}")

    def restyle(self, look: Look) -> None:
        """Do nothing: plain lines use the terminal's own style."""

    def leave(self) -> None:
        """Do nothing: there is nothing to close."""

    def _print(self, line: str) -> None:
        """Print one line, with control characters in names escaped."""
        print(printable(line), file=self._out, flush=True)


def line_of(view: View) -> list[str]:
    """`MARK  27 3/8"  |  Mark one at twenty-seven and three eighths.` followed by the problems."""
    paused = screen_words().paused if view.paused else ""
    head = "  ".join(part for part in (paused, view.verb, view.number) if part)
    line = f"{head}  |  {view.said}" if view.said else head
    return [line, *(f"  ! {trouble}" for trouble in view.troubles)]
