"""The shared data that a sheet is worked out with."""

from __future__ import annotations

from bench.core.bends.catalogue import labels, names
from bench.data.limits import cautions, code_limits
from bench.data.tables import KINDS, setup
from bench.sheet.from_json import Tables


def shared_tables() -> Tables:
    """Typical benders, code limits, cautions and names from the shared data."""
    return Tables(
        setup, code_limits(), cautions(), {**labels(), **names(), **{kind: kind.upper() for kind in KINDS}}
    )
