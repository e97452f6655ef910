"""How often a law is tried. `BENCH_EXAMPLES=25 pytest --timeout 0 tests/core` tries 25 times the usual examples."""

from __future__ import annotations

import os

TIMES = int(os.environ.get("BENCH_EXAMPLES", "1"))


def examples(usual: int) -> int:
    """The number of examples of a law that is tried `usual` times in an ordinary run."""
    return usual * TIMES
