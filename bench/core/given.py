"""The measures of one bend, each in its own type."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction

Number = Fraction | float | int
"""A length in inches (Fraction), an angle in degrees (float) or a count (int)."""


class Given(Mapping[str, Number]):
    """What was given for one bend, by key. Unchanging; `with_` makes another.

    `length`, `angle` and `count` take a measure as what it is. A missing one raises KeyError, unless
    `default` is given: the planner has seen to it that what a bend must have is there.
    """

    __slots__ = ("_values",)

    def __init__(self, values: Mapping[str, Number] | None = None) -> None:
        """A copy of these values."""
        self._values: dict[str, Number] = dict(values or {})

    def length(self, key: str, default: Fraction | int | None = None) -> Fraction:
        """A length, inches."""
        value = self._values[key] if default is None else self._values.get(key, default)
        return value if isinstance(value, Fraction) else Fraction(value)

    def angle(self, key: str = "angle") -> float:
        """An angle, degrees."""
        return float(self._values[key])

    def count(self, key: str, default: int | None = None) -> int:
        """A number of things."""
        return int(self._values[key] if default is None else self._values.get(key, default))

    def with_(self, **changes: Number) -> Given:
        """These measures with some changed or added."""
        return Given({**self._values, **changes})

    def without(self, *keys: str) -> Given:
        """These measures less some."""
        return Given({key: value for key, value in self._values.items() if key not in keys})

    def __getitem__(self, key: str) -> Number:
        """A value as it was given."""
        return self._values[key]

    def __iter__(self) -> Iterator[str]:
        """The keys, in the order given."""
        return iter(self._values)

    def __len__(self) -> int:
        """How many there are."""
        return len(self._values)

    def __hash__(self) -> int:
        """By value, so that plans may be kept in a cache."""
        return hash(frozenset(self._values.items()))

    def __repr__(self) -> str:
        """For failures of tests."""
        return f"Given({self._values!r})"


_SPELLINGS = {"to_centre": "to_center"}


def measure_key(written: str) -> str:
    """The key of a measure as written in a list or an earlier job: both spellings of center are read."""
    return _SPELLINGS.get(written, written)
