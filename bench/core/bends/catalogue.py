"""Every bend by its key on the command line."""

from __future__ import annotations

from bench.core.bends.base import Bend
from bench.core.bends.offset import Offset
from bench.core.bends.saddle3 import Saddle3
from bench.core.bends.stub import Stub

BENDS: dict[str, Bend] = {bend.key: bend for bend in (Offset(), Saddle3(), Stub())}
