"""What is written down as it happens: one kind for each thing that can happen, used by every package."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class RecordKind(StrEnum):
    """What a record tells of. The values are stored in job files: never change one."""

    JOB_STARTED = "job_started"
    JOB_DONE = "job_done"
    SET_UP = "set_up"
    BENDER = "bender"
    LEARNED = "learned"
    SETTING = "setting"
    BEND_BEGUN = "bend_begun"
    VALUE_GIVEN = "value_given"
    CONFIRMED = "confirmed"
    STEP_DONE = "step_done"
    MEASURED = "measured"
    BEND_DONE = "bend_done"
    REMADE = "remade"
    DROPPED = "dropped"
    SAME_AGAIN = "same_again"
    STICK_DONE = "stick_done"
    RUN_BEGUN = "run_begun"
    NAMED = "named"
    SHEET_WRITTEN = "sheet_written"
    UNDONE = "undone"
    HEARD = "heard"
    FAILED = "failed"
    RECOVERED = "recovered"
    STUCK = "stuck"
    STATE_NOT_READ = "state_not_read"
    SETTING_NOT_READ = "setting_not_read"


@dataclass(frozen=True, slots=True)
class Record:
    """Write this down before anything else is done. `detail` is JSON-ready."""

    kind: RecordKind
    detail: dict[str, object]
