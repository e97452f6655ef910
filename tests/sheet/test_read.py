"""Written lengths and angles: the table is the specification."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.core.lengths import SIXTEENTH, Units, feet_text, inches_text, metric_text
from bench.core.notes import BenchError
from bench.language.read import read_angle, read_count, read_length


@pytest.mark.parametrize(
    ("written", "inches"),
    [
        ("27 3/8", "27.375"),
        ("27-3/8", "27.375"),
        ('27 3/8"', "27.375"),
        ("3/4", "0.75"),
        ("27.375", "27.375"),
        ("4'", "48"),
        ("4' 2 3/8\"", "50.375"),
        ("4 ft 2", "50"),
        ("10'-6 1/2\"", "126.5"),
        ("-1/4", "-0.25"),
        ("219/8", "27.375"),
        ("30 in", "30"),
        ("635 mm", "25"),
        ("63.5cm", "25"),
        ("2.54 m", "100"),
    ],
)
def test_lengths(written: str, inches: str) -> None:
    """The inch is 25.4 mm exactly (international yard and pound agreement, 1959)."""
    assert read_length(written) == Fraction(inches)


def test_bare_number_in_millimeters() -> None:
    assert read_length("254", Units.METRIC) == 10
    assert read_length('10"', Units.METRIC) == 10


@given(st.integers(-16 * 240, 16 * 240))
def test_what_bench_writes_it_reads(sixteenths: int) -> None:
    value = sixteenths * SIXTEENTH
    assert read_length(inches_text(value)) == value
    assert read_length(feet_text(value)) == value
    assert abs(read_length(metric_text(value)) - value) <= Fraction(1, 50)


@pytest.mark.parametrize(
    ("written", "degrees"), [("30", 30), ("22.5", 22.5), ("22½°", 22.5), ("22 1/2", 22.5), ("45 degrees", 45)]
)
def test_angles(written: str, degrees: float) -> None:
    assert read_angle(written) == degrees


@pytest.mark.parametrize("written", ["", "abc", "3/0", "1/2/3", "12 feet feet", "{x}"])
def test_nonsense_says_what_can_be_written(written: str) -> None:
    with pytest.raises(BenchError) as caught:
        read_length(written)
    assert "27 3/8" in caught.value.remedy.template
    for read in (read_angle, read_count):
        with pytest.raises(BenchError):
            read(written)
