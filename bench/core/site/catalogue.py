"""Everything that can be worked out from what is measured on site, by its key."""

from __future__ import annotations

from collections.abc import Mapping

from bench.core.bender import Setup
from bench.core.bends.planning import checked
from bench.core.fittings import Fittings
from bench.core.given import Number
from bench.core.notes import BenchError, Note
from bench.core.site.base import Answer, Site, angle, length
from bench.core.site.boxes import Ninety, OneBend, Straight
from bench.core.site.compound import Compound
from bench.core.site.concentric import Concentric
from bench.core.site.curve import Curve
from bench.core.site.holes import Holes
from bench.core.site.match import Match

_ANGLE = angle("angle", "angle", "3", "60", optional=True)

_ALL: tuple[Site, ...] = (
    Straight(),
    OneBend(
        "offset",
        "offset",
        length("distance", "distance to the obstruction", "1", "1200"),
        (length("rise", "rise", "1/4", "60"), _ANGLE),
    ),
    OneBend(
        "saddle3",
        "three-point saddle",
        length("to_center", "distance to the center", "1", "1200"),
        (length("height", "height", "1/4", "24"), _ANGLE),
    ),
    OneBend(
        "saddle4",
        "four-point saddle",
        length("to_edge", "distance to the near edge", "1", "1200"),
        (length("height", "height", "1/4", "24"), length("width", "width", "1/4", "120"), _ANGLE),
    ),
    Ninety(kick=False),
    Ninety(kick=True),
    Match(),
    Curve(),
    Holes(),
    Compound(),
    Concentric(),
)

SITES: dict[str, Site] = {site.key: site for site in _ALL}


def work_out_site(key: str, measures: Mapping[str, Number], setup: Setup, fittings: Fittings) -> Answer:
    """What follows from these measures. Raises BenchError when one is missing, unknown or out of range, or when they
    contradict one another."""
    if key not in SITES:
        raise BenchError(
            Note("site_unknown", "There is nothing to measure called {site}.", {"site": key}),
            Note("site_known", "There are: {sites}.", {"sites": ", ".join(SITES)}),
        )
    site = SITES[key]
    return site.answer(checked(site, measures), setup, fittings)
