"""Which part of the conduit becomes the arc, and its inverse: where the mark goes. For every bend."""

from __future__ import annotations

from bench.core.bender import Bender
from bench.core.plan import Hook, Reference


def arc_start(mark: float, reference: Reference, hook: Hook, degrees: float, bender: Bender) -> float:
    """Where the arc starts, inches from the tape end, of a bend made with `reference` held on `mark`."""
    return mark + _lead(reference, hook, degrees, bender)


def mark_for(start: float, reference: Reference, hook: Hook, degrees: float, bender: Bender) -> float:
    """Where to mark, inches from the tape end, so that the arc of the bend starts at `start`."""
    return start - _lead(reference, hook, degrees, bender)


def arrow_at(start: float, hook: Hook, degrees: float, bender: Bender) -> float:
    """Where the arrow lies on the conduit, inches from the tape end, for an arc that starts at `start`."""
    return mark_for(start, Reference.ARROW, hook, degrees, bender)


def _lead(reference: Reference, hook: Hook, degrees: float, bender: Bender) -> float:
    """Mark to start of arc. The hook of a bender that can face either way is taken to face the tape end."""
    offset = bender.offset(reference)
    if hook is Hook.AWAY:
        return offset - bender.arc_start - bender.arc(degrees)
    return bender.arc_start - offset
