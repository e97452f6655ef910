"""Reads files and lines from outside the program, up to a size limit."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import TextIO

from bench.core.notes import BenchError

MOST_BYTES = 1 << 20
"""Bytes. Any real list, job or file of benders is smaller."""
MOST_LETTERS = 1000
"""Characters of one typed line. No answer is longer."""
CUT = " …"
"""Marks a line as cut, so that its beginning is not accepted as an answer."""
MOST_SKIPPED = 1 << 24
"""Most characters skipped to find the end of a line. Input without line ends is refused."""


class NotRead(BenchError):
    """A file or stream is not what it should be."""


def read_text_file(path: Path, remedy: str, code: str = "file_unreadable", most: int = MOST_BYTES) -> str:
    """The text of an ordinary UTF-8 file of at most `most` bytes, without the byte order mark.

    Raises NotRead with the file, the reason and `remedy`. Its cause is FileNotFoundError when the file is missing.
    """
    try:
        content = _content(path, most + 1)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else "not a valid file name"
        raise NotRead(f"{path}: {reason}.", remedy, code) from error
    if content is None:
        raise NotRead(f"{path} is not an ordinary file.", remedy, code)
    _refuse_longer(len(content), most, str(path), remedy, code)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise _not_text(str(path), remedy, code) from error


def read_stream(stream: TextIO, name: str, remedy: str, code: str = "file_unreadable") -> str:
    """All the text of a stream, such as standard input, with the same limit. Raises NotRead."""
    try:
        content = stream.read(MOST_BYTES + 1)
    except UnicodeDecodeError as error:
        raise _not_text(name, remedy, code) from error
    _refuse_longer(len(content), MOST_BYTES, name, remedy, code)
    return content


def bounded_lines(stream: TextIO) -> Iterator[str]:
    """The lines of a stream as they arrive. A line longer than any answer is cut and marked as cut.

    Raises NotRead when a line does not end.
    """
    while line := stream.readline(MOST_LETTERS):
        rest, cut, skipped = line, "", 0
        while len(rest) == MOST_LETTERS and not rest.endswith("\n"):
            rest, cut, skipped = stream.readline(MOST_LETTERS), CUT, skipped + MOST_LETTERS
            if skipped > MOST_SKIPPED:
                raise NotRead("The input has no line ends.", "Give one answer per line.", "endless_line")
        yield line + cut


def _content(path: Path, most: int) -> bytes | None:
    """The first bytes of an ordinary file, None for any other. Does not block on a pipe without a writer."""
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
