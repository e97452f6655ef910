"""The job as it is stored: JSON-ready, lengths as exact fractions of an inch in text (`"219/8"`)."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

import cattrs

from bench.core.given import measure_key
from bench.job.model import Job, Number


def converter() -> cattrs.Converter:
    """A converter for every value of a job."""
    made = cattrs.Converter()
    made.register_unstructure_hook(Fraction, str)
    for union in (Number, Number | None):
        made.register_structure_hook(union, number_from_json)
        made.register_unstructure_hook(union, number_to_json)
    made.register_structure_hook(Fraction, lambda raw, _: Fraction(raw))
    made.register_structure_hook_func(
        lambda wanted: wanted == tuple[str, Number | None],
        lambda raw, _: (measure_key(str(raw[0])), number_from_json(raw[1])),
    )
    return made


def number_from_json(raw: object, _: object = None) -> Number | None:
    """A length, angle or count as stored. Raises ValueError when it is none of them."""
    if isinstance(raw, str):
        return Fraction(raw)
    if raw is None or (isinstance(raw, int | float) and not isinstance(raw, bool)):
        return raw
    raise ValueError(f"{raw!r} is not a number")


def job_to_json(job: Job) -> dict[str, Any]:
    """The whole job."""
    raw: dict[str, Any] = _CONVERTER.unstructure(job)
    return raw


def job_from_json(raw: Mapping[str, Any]) -> Job:
    """The job written by `job_to_json`. Raises ValueError saying which part of it is not readable."""
    try:
        return _CONVERTER.structure(dict(raw), Job)
    except Exception as error:
        raise ValueError("; ".join(cattrs.transform_error(error))) from error


def number_to_json(value: Number | None) -> str | float | int | None:
    """A length as the text of an exact fraction of an inch; angles and counts as they are."""
    return str(value) if isinstance(value, Fraction) else value


_CONVERTER = converter()
