"""Every bend by its key on the command line."""

from __future__ import annotations

from bench.core.bends.back_to_back import BackToBack
from bench.core.bends.base import Bend
from bench.core.bends.box_offset import BoxOffset
from bench.core.bends.kick import Kick
from bench.core.bends.offset import Offset
from bench.core.bends.parallel import Parallel
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

BENDS: dict[str, Bend] = {**SINGLE, "parallel": Parallel(SINGLE["offset"])}
"""All bends. A rack of parallel conduits is of offsets unless another is asked for."""
