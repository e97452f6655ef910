"""Reports each outage once and its end once."""

from __future__ import annotations

from collections.abc import Callable

from bench.dialogue.events import Failed, Recovered


class Outages:
    """Turns repeated failures of a part into one `Failed`, and the success after it into one `Recovered`."""

    def __init__(self, tell: Callable[[Failed | Recovered], None]) -> None:
        self._tell = tell
        self._down: set[str] = set()

    def failed(self, room: str, message: str, remedy: str) -> None:
        """Report that a part failed, unless that was already reported."""
        if room not in self._down:
            self._down.add(room)
            self._tell(Failed(room, message, remedy))

    def over(self, room: str, message: str) -> None:
        """Report that a part works again, if it had failed."""
        if room in self._down:
            self._down.discard(room)
            self._tell(Recovered(room, message))
