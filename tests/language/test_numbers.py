"""Number words against num2words, a library of its own."""

from __future__ import annotations

import pytest
from num2words import num2words

from bench.language.numbers import cardinal, ordinal


def reference(number: int, kind: str = "cardinal") -> str:
    """num2words, without the "and" and commas that the trade leaves out."""
    words: str = num2words(number, to=kind, lang="en").replace(" and ", " ").replace(",", "")
    return words


def test_every_cardinal_to_ten_thousand() -> None:
    assert [n for n in range(10_001) if cardinal(n) != reference(n)] == []


@pytest.mark.parametrize("number", [12_345, 100_000, 654_321, 999_999])
def test_large_cardinals(number: int) -> None:
    assert cardinal(number) == reference(number)


def test_a_negative_number_is_said_with_minus() -> None:
    assert cardinal(-27) == reference(-27) == "minus twenty-seven"


def test_every_ordinal_to_a_thousand() -> None:
    assert [n for n in range(1, 1001) if ordinal(n) != reference(n, "ordinal")] == []
