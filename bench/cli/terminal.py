"""The one door to the terminal: nothing that came from a file, a name or the command line is obeyed by it."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TextIO, cast

from bench.language.write import printable

_LAID_OUT = re.compile(r"(\r?\n|\t)")
"""Line ends and tabs, the only control characters that are ours."""
_SPELLED = "backslashreplace"
"""What a terminal's encoding lacks is written as an escape, never a traceback."""


class PlainText:
    """A stream whose text is spelled out but for line ends and tabs; everything else is the stream's own."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        """Write what a terminal will only show. Returns the length of what was given."""
        pieces = _LAID_OUT.split(text)
        self._stream.write("".join(one if at % 2 else printable(one) for at, one in enumerate(pieces)))
        return len(text)

    def writelines(self, lines: Iterable[str]) -> None:
        """Each in turn."""
        for line in lines:
            self.write(line)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


@contextmanager
def plain_streams() -> Iterator[None]:
    """Standard streams that read anything, print anything and obey nothing, while a command runs."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:  # closed by whoever started it
            setattr(sys, name, Path(os.devnull).open(mode, encoding="utf-8"))  # noqa: SIM115 - as long as it runs
    for stream, errors in ((sys.stdin, "replace"), (sys.stdout, _SPELLED), (sys.stderr, _SPELLED)):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors=errors)
    before = {name: getattr(sys, name) for name in ("stdout", "stderr")}
    plain = {name: cast(TextIO, PlainText(stream)) for name, stream in before.items()}
    for name, stream in plain.items():
        setattr(sys, name, stream)
    try:
        yield
    finally:
        for name, stream in before.items():
            if getattr(sys, name) is plain[name]:  # else the screen has put its own there, to stay
                setattr(sys, name, stream)
