"""Memory that was freed and that the C library still holds."""

from __future__ import annotations

import ctypes
from contextlib import suppress


def give_back() -> None:
    """Return freed memory to the system. Does nothing where the C library is not glibc.

    A recognizer frees a graph of 18 MB in thousands of pieces with each new grammar. glibc keeps most of the pages, and
    over hours more and more of them.
    """
    with suppress(AttributeError, OSError, TypeError):
        ctypes.CDLL(None).malloc_trim(0)
