"""What an examination found."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from bench.core.notes import BenchError
from bench.language.write import written


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing looked at. Without what is `needed` the main job cannot run by voice.

    `doubt` is something that works but needs attention; `others` is what else there is to choose from.
    """

    part: str
    works: bool
    message: str
    remedy: str = ""
    needed: bool = True
    doubt: bool = False
    others: tuple[str, ...] = ()


def examined(part: str, look: Callable[[], Finding]) -> Finding:
    """What `look` finds; a BenchError is a trouble with its remedy, any other exception a failure without one."""
    try:
        return look()
    except BenchError as error:
        return Finding(part, False, written(error.message), written(error.remedy))
    except Exception as error:  # a broken library must not keep the rest from being looked at
        return Finding(part, False, f"{type(error).__name__}: {error}", "Set Bench up again.")


def by_voice(findings: Sequence[Finding]) -> bool:
    """Whether the main job can run by voice."""
    return all(finding.works for finding in findings if finding.needed)
