"""Code limits and cautions, read from the shared data."""

from __future__ import annotations

from functools import cache

from bench.core.cautions import Cautions
from bench.core.code import CodeLimits
from bench.data.files import read_toml, structured


@cache
def code_limits() -> CodeLimits:
    """The figures of the electrical code. Raises BenchError naming file and key when the data is damaged."""
    return structured("code_limits.toml", CodeLimits, read_toml("code_limits.toml"))


@cache
def cautions() -> Cautions:
    """The warnings spoken where someone could get hurt. Raises BenchError naming file and key of damaged data."""
    return structured("cautions.toml", Cautions, read_toml("cautions.toml"))
