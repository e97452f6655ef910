"""Text from outside: files and lines of any size, read no further than they are of use."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import TextIO

from bench.core.notes import BenchError

MOST_BYTES = 1 << 20
"""A list, a job or the benders of a lifetime take less; what is longer is something else."""
MOST_LETTERS = 1000
"""Letters of one typed line; no answer is longer."""
CUT = " …"
"""Stands for what was left out of a line: with it the beginning is not taken for an answer either."""
MOST_SKIPPED = 1 << 24
"""Letters of a line that are skipped to find its end; what has none is no lines at all."""


class NotRead(BenchError):
    """A file or a stream that is not taken for what it should be."""


def read_text_file(path: Path, remedy: str, code: str = "file_unreadable", most: int = MOST_BYTES) -> str:
    """The text of an ordinary UTF-8 file of at most so many bytes, without a byte order mark.

    Raises NotRead naming the file, what is wrong and `remedy`; FileNotFoundError is its cause where there is none.
    """
    try:
        content = _content(path, most + 1)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else "no file can be called so"
        raise NotRead(f"{path}: {reason}.", remedy, code) from error
    if content is None:
        raise NotRead(f"{path} is not an ordinary file.", remedy, code)
    _refuse_longer(len(content), most, str(path), remedy, code)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise _not_text(str(path), remedy, code) from error


def read_stream(stream: TextIO, name: str, remedy: str, code: str = "file_unreadable") -> str:
    """All the text of a stream, such as standard input, within the same bound. Raises NotRead."""
    try:
        content = stream.read(MOST_BYTES + 1)
    except UnicodeDecodeError as error:
        raise _not_text(name, remedy, code) from error
    _refuse_longer(len(content), MOST_BYTES, name, remedy, code)
    return content


def bounded_lines(stream: TextIO) -> Iterator[str]:
    """The lines of a stream as they come; of one longer than any answer the beginning, marked as cut.

    Raises NotRead where a line does not end.
    """
    while line := stream.readline(MOST_LETTERS):
        rest, cut, skipped = line, "", 0
        while len(rest) == MOST_LETTERS and not rest.endswith("\n"):
            rest, cut, skipped = stream.readline(MOST_LETTERS), CUT, skipped + MOST_LETTERS
            if skipped > MOST_SKIPPED:
                raise NotRead("What is typed has no line ends.", "Give one answer a line.", "endless_line")
        yield line + cut


def _content(path: Path, most: int) -> bytes | None:
    """The first bytes of an ordinary file, None where it is none. A pipe that nobody writes to is not waited for."""
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    try:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            return None
        pieces, left = [], most
        while left and (piece := os.read(handle, left)):
            pieces.append(piece)
            left -= len(piece)
        return b"".join(pieces)
    finally:
        os.close(handle)


def _refuse_longer(length: int, most: int, name: str, remedy: str, code: str) -> None:
    if length > most:
        raise NotRead(f"{name} is larger than {most >> 10} kB.", remedy, code)


def _not_text(name: str, remedy: str, code: str) -> NotRead:
    return NotRead(f"{name} is not UTF-8 text.", remedy, code)
