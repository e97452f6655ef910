"""What a test takes for known."""

from __future__ import annotations

from typing import TypeVar

T = TypeVar("T")


def known(value: T | None) -> T:
    """The value, which must be there: fails the test where it is not."""
    assert value is not None
    return value
