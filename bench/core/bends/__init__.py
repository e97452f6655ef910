"""The bends of the trade, one module each: a path, and the measures it asks for."""

from __future__ import annotations

from bench.core.bends.base import Bend
from bench.core.bends.catalogue import BENDS
from bench.core.bends.planning import neighbor_of, work_out, work_out_rack

__all__ = ["BENDS", "Bend", "neighbor_of", "work_out", "work_out_rack"]
