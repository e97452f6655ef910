"""The second recognizer as the ears hold it: a helper process that is begun, lost, begun again, or given a rest."""

from __future__ import annotations

import logging
import subprocess
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Sequence
from pathlib import Path

from bench.audio import pipes
from bench.audio.outages import Outages
from bench.audio.samples import RATE, Samples
from bench.core.notes import BenchError
from bench.dialogue.events import Failed, Recovered
from bench.ears.ear_events import SecondListening
from bench.ears.second.helper import LOADS_WITHIN, READS_WITHIN, REMEDY, Helper, Made
from bench.ears.second.model import check
from bench.ears.second.packed_arcs import pack
from bench.ears.second.search import Reading
from bench.language.automaton import Branches
from bench.language.meaning import Expectation
from bench.language.write import written

log = logging.getLogger(__name__)

Readings = tuple[Reading, ...]
Tell = Callable[[Failed | Recovered | SecondListening], None]

ROOM = "second recognizer"
RETRY_S = (2.0, 5.0, 15.0)
"""Waits before it is begun again; the last one repeats."""
PATIENCE = 0.6
"""Seconds an answer may take after it is needed."""
_SLOW, _OF = 4, 6
"""So many answers late, of so many: the machine is too slow for it."""
RESTS_S = (300.0, 1800.0, 7200.0)
"""Waits before it is tried again on a machine that was too slow for it, which may just have been busy."""
_LONGEST = 12 * RATE
_GRAMMARS = 12


class SecondRecognizer:
    """Readings for a sound, worked out in a process of its own. All methods return at once but `found`.

    The model in `folder` is checked before each start. `grammar` may take a while: it is worked out in the sending
    thread. `tell` hears of outages, from any thread. An answer is waited for `patience` seconds. Nothing raises:
    without the process there is just no answer.
    """

    def __init__(
        self,
        folder: Path | None,
        grammar: Callable[[Expectation], Branches],
        tell: Tell,
        patience: float = PATIENCE,
    ) -> None:
        self._folder = folder
        self._grammar = grammar
        self._tell = tell
        self._outages = Outages(tell)
        self._patience = patience
        self._changed = threading.Condition()
        self._helper: Helper | None = None
        self._ready = False
        self._begun = False
        self._over = threading.Event()
        self._slots: OrderedDict[Expectation, int] = OrderedDict()
        self._sent: set[int] = set()
        self._attempts = 0
        self._ticket = 0
        self._answered = 0
        self._answer: Readings | None = None
        self._owed_since: float | None = None
        self._late: list[bool] = []
        self._too_slow = 0
        """How often the machine was too slow for it since it last kept up."""
        self._thread = threading.Thread(target=self._run, name=ROOM, daemon=True)

    def start(self) -> None:
        """Begin it in the background, unless that was done before."""
        if not self._begun:
            self._begun = True
            self._thread.start()

    @property
    def ready(self) -> bool:
        """Whether it listens now."""
        return self._ready

    @property
    def process(self) -> subprocess.Popen[bytes] | None:
        """The helper process, while there is one."""
        return self._helper.process if self._helper else None

    def wait(self, seconds: float = LOADS_WITHIN) -> bool:
        """Wait until it listens; false when it cannot be begun, or not within that time."""
        with self._changed:
            self._changed.wait_for(lambda: self._ready or self._attempts, seconds)
            return self._ready

    def expect(self, expectation: Expectation) -> None:
        """Hand over what can be said now, unless that was done before."""
        number = self._slot(expectation)
        if self._ready and number not in self._sent:
            self._sent.add(number)
            self._send(lambda: _written_out(number, self._grammar(expectation)))

    def hear(self, sound: Samples, expectation: Expectation) -> int:
        """Begin to work on a sound; a sound that was asked about before is dropped. Returns a ticket, 0 for none."""
        self.expect(expectation)
        return self._asked({"do": "hear", "number": self._slots[expectation]}, sound[-_LONGEST:].tobytes())

    def judge(self, readings: Sequence[Sequence[str]]) -> int:
        """Begin to score these readings against the sound heard last. Returns a ticket, 0 for none."""
        return self._asked({"do": "judge", "readings": [list(words) for words in readings]})

    def peek(self, ticket: int) -> Readings | None:
        """The answer, if it is there already."""
        with self._changed:
            return self._answer if ticket and self._answered == ticket else None

    def found(self, ticket: int) -> Readings | None:
        """The answer, waited for; None when it does not come in time. Counts how often that happens."""
        if not ticket:
            return None
        with self._changed:
            in_time = self._changed.wait_for(
                lambda: self._answered == ticket or not self._ready, self._patience
            )
            answer = self._answer if self._answered == ticket else None
        self._note(late=not in_time)
        return answer

    def close(self) -> None:
        """End the process."""
        self._over.set()
        self._end()

    # -- keeping it alive ----------------------------------------------------------------------------------

    def _run(self) -> None:
        while not self._over.is_set():
            try:
                self._begin()
                self._attempts = 0
                self._listen()
            except BenchError as error:
                self._outages.failed(ROOM, written(error.message), written(error.remedy) or REMEDY)
            except Exception as error:
                log.exception("fault in the second recognizer")
                self._outages.failed(ROOM, f"The second recognizer failed: {error}.", REMEDY)
            self._attempts += 1
            self._end()
            waits, times = (RESTS_S, self._too_slow) if self._too_slow else (RETRY_S, self._attempts)
            self._over.wait(waits[min(times, len(waits)) - 1])

    def _begin(self) -> None:
        """Check the files, start the process, wait until it listens. Raises BenchError."""
        if self._folder is None:
            remedy = "Install Bench again. Bench goes on with one recognizer."
            raise BenchError("The model of the second recognizer is not there.", remedy, code="model_missing")
        check(self._folder)
        helper = Helper(self._folder)
        if self._over.is_set():
            helper.end()
            return
        with self._changed:
            self._helper = helper
            self._sent.clear()
            self._late.clear()
            self._owed_since = None
            self._ready = True
            self._changed.notify_all()
        if not self._too_slow:
            self._works()

    def _works(self) -> None:
        self._tell(SecondListening())
        self._outages.over(ROOM, "The second recognizer works again.")

    def _listen(self) -> None:
        """Take answers until the process ends; tell of its end."""
        helper = self._helper
        if helper is None:
            return
        for message in helper.answers():
            readings = tuple(Reading(tuple(words), score) for words, score in message["readings"])
            with self._changed:
                self._answered = message["ticket"]
                self._answer = readings
                self._owed_since = None if self._answered == self._ticket else time.monotonic()
                self._changed.notify_all()
        if self._helper is helper and not self._over.is_set():
            what = "does not answer any more" if helper.stuck else "has ended"
            self._outages.failed(ROOM, f"The second recognizer {what}.", REMEDY)

    def _end(self) -> None:
        with self._changed:
            self._ready = False
            self._changed.notify_all()
            helper, self._helper = self._helper, None
        if helper is not None:
            helper.end()

    def _note(self, late: bool) -> None:
        """An answer came in time, or late.

        A process that has told nothing at all for a while is stopped: killed, and begun again. A machine on which
        most answers come late is too slow for it: told once, and left at one recognizer for a while.
        """
        owed, helper = self._owed_since, self._helper
        if late and helper and owed is not None and time.monotonic() - owed > READS_WITHIN:
            helper.give_up()
            return
        self._late = [*self._late[1 - _OF :], late and self._ready]
        if sum(self._late) >= _SLOW:
            self._outages.failed(ROOM, "This machine is too slow for the second recognizer.", REMEDY)
            self._too_slow += 1
            self._end()
        elif self._too_slow and len(self._late) == _OF and not any(self._late):
            self._too_slow = 0
            self._works()

    def _slot(self, expectation: Expectation) -> int:
        """The number of its grammar. The process keeps a few; the one not asked for longest makes room."""
        if expectation not in self._slots:
            full = len(self._slots) >= _GRAMMARS
            number = self._slots.popitem(last=False)[1] if full else len(self._slots) + 1
            self._sent.discard(number)
            self._slots[expectation] = number
        self._slots.move_to_end(expectation)
        return self._slots[expectation]

    def _asked(self, message: pipes.Message, data: bytes = b"") -> int:
        if not self._ready:
            return 0
        with self._changed:
            self._ticket += 1
            ticket = self._ticket
            self._owed_since = self._owed_since or time.monotonic()
        return ticket if self._send(lambda: ({**message, "ticket": ticket}, data)) else 0

    def _send(self, made: Made) -> bool:
        helper = self._helper
        return helper is not None and helper.send(made)


def _written_out(number: int, grammar: Branches) -> tuple[pipes.Message, bytes]:
    """The grammar of the moment as a message."""
    words, states, data = pack(grammar.arcs)
    message = {
        "do": "grammar",
        "number": number,
        "words": words,
        "states": states,
        "start": grammar.start,
        "finals": sorted(grammar.finals),
    }
    return message, data
