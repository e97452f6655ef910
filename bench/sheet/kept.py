"""A job kept on this machine as plain data for paper: from the conversation's state, or from its records."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Any, Protocol

from bench.core.given import measure_key
from bench.core.lengths import MILLIMETRE, Units
from bench.core.notes import BenchError
from bench.dialogue.state import State, state_from_json
from bench.job.model import JobBend, JobStick, Number, Tools


class Kept(Protocol):
    """One record of a job."""

    @property
    def kind(self) -> str: ...
    @property
    def detail(self) -> Mapping[str, Any]: ...


def job_of_state(raw: Mapping[str, Any], name: str) -> dict[str, Any]:
    """The job in hand: every stick done, and the one being bent. Raises BenchError when nothing is bent
    yet."""
    try:
        state: State = state_from_json(raw)
    except ValueError as error:
        raise BenchError(
            f"The job in hand cannot be read: {error}.", "Start Bench; it mends its file."
        ) from error
    sticks = [*state.now.done, state.now.stick]
    return _job(
        name, state.units, _tools(state.now.tools, state.units), [_stick(s, state.units) for s in sticks]
    )


def job_of_records(records: Iterable[Kept], name: str) -> dict[str, Any]:
    """An earlier job from what was written down: the bends that were finished, stick by stick.

    A bender measured by the person is not in the records; the typical one for the conduit is taken.
    """
    setup: dict[str, Any] = {}
    units = Units.INCH
    sticks: dict[str, dict[str, Any]] = {}
    for record in records:
        detail = record.detail
        if record.kind == "set_up":
            setup = {"conduit": detail["conduit"], "size": detail["size"]}
        elif record.kind == "setting" and "units" in detail:
            units = Units(detail["units"])
        elif record.kind == "remade":
            sticks.pop(str(detail["stick"]), None)
        elif record.kind == "bend_done":
            stick = sticks.setdefault(str(detail["stick"]), {"name": str(detail["stick"]), "bends": []})
            stick["setup"] = setup
            stick["bends"].append(_recorded(detail, units))
    return _job(name, units, setup, list(sticks.values()))


def _job(name: str, units: Units, setup: dict[str, Any], sticks: list[dict[str, Any]]) -> dict[str, Any]:
    bent = [stick for stick in sticks if stick["bends"]]
    if not bent:
        raise BenchError(f"{name} has no bends to put on paper.", "See which jobs there are: bench jobs")
    return {"name": name, "units": str(units), "sticks": bent} | ({"setup": setup} if setup else {})


def _tools(tools: Tools, units: Units) -> dict[str, Any]:
    setup: dict[str, Any] = {"conduit": tools.conduit, "size": tools.size}
    own = tools.profile
    if own is not None:
        setup["bender"] = {
            "name": own.name,
            "take_up": _plain(own.take_up, units),
            "gain": _plain(own.gain, units),
            "springback": own.springback,
        }
    return setup


def _stick(stick: JobStick, units: Units) -> dict[str, Any]:
    setup = {"setup": _tools(stick.tools, units)} if stick.tools.complete else {}
    return setup | {
        "name": stick.name,
        "length": _plain(stick.length, units),
        "shift": _plain(stick.shift, units),
        "bends": [_bend(bend, units) for bend in stick.bends],
    }


def _bend(bend: JobBend, units: Units) -> dict[str, Any]:
    measures = {key: _plain(value, units) for key, value in bend.measures.items()}
    plain: dict[str, Any] = {"kind": bend.kind, "measures": measures, "method": str(bend.method)}
    if bend.from_end is not None:
        plain["from_end"] = _plain(bend.from_end, units)
    return plain | {"roll": bend.roll}


def _recorded(detail: Mapping[str, Any], units: Units) -> dict[str, Any]:
    """Records hold lengths as exact fractions of an inch in text, angles and counts as numbers."""
    measures = {
        measure_key(key): _plain(Fraction(value) if isinstance(value, str) else value, units)
        for key, value in detail["measures"].items()
    }
    return {"kind": detail["kind"], "measures": measures, "method": detail["method"]}


def _plain(value: Number, units: Units) -> str | float | int:
    """A length as text that reads back exactly in the job's units; other numbers as they are."""
    if not isinstance(value, Fraction):
        return value
    return f"{value / MILLIMETRE} mm" if units is Units.METRIC else f"{value} in"
