"""Every bend by its key on the command line."""

from __future__ import annotations

from bench.core.bends.back_to_back import BackToBack
from bench.core.bends.base import Bend
from bench.core.bends.box_offset import BoxOffset
from bench.core.bends.kick import Kick
from bench.core.bends.offset import Offset
from bench.core.bends.rack import Rack
from bench.core.bends.rolling import Rolling
from bench.core.bends.saddle3 import Saddle3
from bench.core.bends.saddle4 import Saddle4
from bench.core.bends.segmented import Segmented
from bench.core.bends.stub import Stub

SINGLE: dict[str, Bend] = {
    bend.key: bend
    for bend in (
        Offset(),
        Saddle3(),
        Saddle4(),
        Stub(),
        BackToBack(),
        Kick(),
        Rolling(),
        BoxOffset(),
        Segmented(),
    )
}
"""The bends of one conduit."""

BENDS: dict[str, Bend | Rack] = {**SINGLE, "parallel": Rack(SINGLE["offset"])}
"""All that can be asked for. A rack of parallel conduits is of offsets unless another bend is asked for."""


def names() -> dict[str, str]:
    """What each bend is called, by key."""
    return {key: bend.name for key, bend in BENDS.items()}


def labels() -> dict[str, str]:
    """What each measure is called, by key. Where bends call one differently, the plain word."""
    found: dict[str, str] = {}
    for bend in BENDS.values():
        for measure in (*bend.measures, *bend.extras):
            same = found.setdefault(measure.key, measure.label) == measure.label
            if not same:
                found[measure.key] = measure.key.replace("_", " ")
    return found
