"""Safe output to the terminal: control sequences from files, names and the command line have no effect."""

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
"""Line ends and tabs, the only control characters that we print."""
_SPELLED = "backslashreplace"
"""Characters that the terminal's encoding lacks are escaped and never cause a traceback."""


class PlainText:
    """A stream that escapes all control characters except line ends and tabs. The rest is delegated."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        """Write the text escaped. Returns the length of the original text."""
        pieces = _LAID_OUT.split(text)
        self._stream.write("".join(one if at % 2 else printable(one) for at, one in enumerate(pieces)))
        return len(text)

    def writelines(self, lines: Iterable[str]) -> None:
        """Write each line."""
        for line in lines:
            self.write(line)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


@contextmanager
def plain_streams() -> Iterator[None]:
    """Replace the standard streams with escaping ones that accept any text, while a command runs."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:  # closed by the parent process
            setattr(sys, name, Path(os.devnull).open(mode, encoding="utf-8"))  # noqa: SIM115 - open until exit
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
            if getattr(sys, name) is plain[name]:  # else the screen has installed its own stream
                setattr(sys, name, stream)
