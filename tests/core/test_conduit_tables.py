"""The tables of conduit and typical benders against one another and against published figures."""

from __future__ import annotations

import math
from fractions import Fraction as F

import pytest

from bench.core.bender import Setup
from bench.core.bends import work_out
from bench.core.conduit import Conduit
from bench.core.notes import BenchError
from bench.data import tables

INCH_KINDS = ("emt", "rmc", "imc", "aluminum", "coated")
DESIGNATORS = dict(
    zip(
        ("1/2", "3/4", "1", "1 1/4", "1 1/2", "2", "2 1/2", "3", "3 1/2", "4"),
        (16, 21, 27, 35, 41, 53, 63, 78, 91, 103),
        strict=True,
    )
)
"""NEC table 300.1(C) (from memory)."""
FORTY_PERCENT = {
    "emt": (0.122, 0.213, 0.346, 0.598, 0.814, 1.342, 2.343, 3.538, 4.618, 5.901),
    "rmc": (0.125, 0.220, 0.355, 0.610, 0.829, 1.363, 1.946, 3.000, 4.004, 5.153),
    "imc": (0.137, 0.235, 0.384, 0.659, 0.890, 1.452, 2.054, 3.169, 4.234, 5.452),
}
"""Square inches: NEC Chapter 9 Table 4, articles 358, 344 and 342 (344 from memory)."""
ROWS = pytest.mark.parametrize("pipe", tables.conduits(), ids=lambda pipe: f"{pipe.kind} {pipe.size}")


@pytest.mark.parametrize("kind", INCH_KINDS)
def test_every_size_with_its_metric_designator(kind: str) -> None:
    made = {pipe.size: pipe.designator for pipe in tables.conduits() if pipe.kind == kind}
    assert made == DESIGNATORS


@ROWS
def test_diameters_agree(pipe: Conduit) -> None:
    """od less walls and coating is the inside: Steel Tube Institute and UL 6 against NEC Chapter 9 Table 4. The least
    wall of IMC is 0.01 under the nominal, 0.02 from 2-1/2 up (0.150: Steel Tube Institute)."""
    spare = pipe.od - 2 * pipe.wall - 2 * pipe.coating - pipe.inside
    assert 0 <= spare <= (F("0.04") if pipe.kind == "imc" else 0)


@pytest.mark.parametrize("kind", FORTY_PERCENT)
def test_forty_percent_of_the_inside(kind: str) -> None:
    areas = [0.4 * math.pi / 4 * float(tables.conduit(kind, size).inside) ** 2 for size in DESIGNATORS]
    assert areas == pytest.approx(FORTY_PERCENT[kind], abs=0.0015)


def test_forty_mils_of_coating_on_each_side() -> None:
    """NEMA RN 1 (from memory): 40 mil at the least, on conduit to ANSI C80.1."""
    for size in DESIGNATORS:
        assert tables.conduit("coated", size).od - tables.conduit("rmc", size).od == F("0.08")


def test_metric_conduit_within_its_limits() -> None:
    """Outside diameters of IEC 60423 in a supplier's table to BS 4568 and EN 61386, millimeters."""
    limits = {
        16: (15.7, 16.0),
        20: (19.7, 20.0),
        25: (24.6, 25.0),
        32: (31.6, 32.0),
        40: (39.5, 40.0),
        50: (49.5, 50.0),
    }
    made = {pipe.designator: float(pipe.od) * 25.4 for pipe in tables.conduits() if pipe.kind == "metric"}
    assert made.keys() == limits.keys()
    assert all(low < made[size] < high for size, (low, high) in limits.items())


@pytest.mark.parametrize(
    ("size", "least"), [("1/2", 4), ("3/4", 4.5), ("1", 5.75), ("1 1/4", 7.25), ("1 1/2", 8.25), ("2", 9.5)]
)
def test_least_radius_of_the_code(size: str, least: float) -> None:
    """NEC Chapter 9 Table 2, one-shot and full-shoe benders."""
    assert [float(tables.conduit(kind, size).least_radius) for kind in INCH_KINDS] == [least] * 5


def test_radius_of_catalog_elbows() -> None:
    """267, 330, 381 and 406 mm from 2-1/2 to 4: catalog EMT elbows, the same as NEC Chapter 9 Table 2."""
    sizes = ("2 1/2", "3", "3 1/2", "4")
    assert [round(tables.typical_bender("emt", size).radius * 25.4) for size in sizes] == [267, 330, 381, 406]


def test_the_arc_of_a_published_shoe() -> None:
    """A shoe for 3 in. EMT whose arc starts 6-1/2 from the arrow (a lesson on stacked kicks)."""
    assert tables.typical_bender("emt", "3").arc_start == pytest.approx(6.5, abs=0.01)


@ROWS
def test_every_typical_bender_bends(pipe: Conduit) -> None:
    """An offset, a ninety and a saddle can be made on it, and the plan says that its numbers are typical."""
    setup = Setup(pipe, tables.typical_bender(pipe.kind, pipe.size), tables.trade(), stick_length=F(400))
    assert setup.bender.radius >= 0.95 * float(pipe.least_radius)
    for kind, measures in (
        ("offset", {"distance": F(150), "rise": F(12)}),
        ("stub", {"height": F(60)}),
        ("saddle3", {"to_center": F(150), "height": F(8)}),
    ):
        plan = work_out(kind, measures, setup)
        assert "typical_bender" in {note.code for note in plan.advice}


@pytest.mark.parametrize("written", ["20", "20mm", "20 mm"])
def test_a_metric_size_as_it_is_written(written: str) -> None:
    assert tables.conduit("metric", written).designator == 20


def test_an_unknown_size_names_those_of_its_kind() -> None:
    with pytest.raises(BenchError) as caught:
        tables.conduit("metric", "63")
    assert caught.value.remedy.values["sizes"] == "16 mm, 20 mm, 25 mm, 32 mm, 40 mm, 50 mm"
