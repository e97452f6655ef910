"""Results of the checks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from bench.core.notes import BenchError
from bench.language.write import written


@dataclass(frozen=True, slots=True)
class Finding:
    """The result of one check. If a `needed` part fails, the main job cannot run by voice.

    `doubt` marks a part that works but needs attention. `others` lists alternatives to choose from.
    """

    part: str
    works: bool
    message: str
    remedy: str = ""
    needed: bool = True
    doubt: bool = False
    others: tuple[str, ...] = ()


def examined(part: str, look: Callable[[], Finding]) -> Finding:
    """The result of `look`. A BenchError becomes a failure with its remedy, any other exception a generic failure."""
    try:
        return look()
    except BenchError as error:
        return Finding(part, False, written(error.message), written(error.remedy))
    except Exception as error:  # a broken library must not stop the other checks
        return Finding(part, False, f"{type(error).__name__}: {error}", "Set Bench up again.")


def by_voice(findings: Sequence[Finding]) -> bool:
    """Whether the main job can run by voice."""
    return all(finding.works for finding in findings if finding.needed)
