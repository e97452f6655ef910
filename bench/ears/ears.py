"""The ears: sound in, events out. One thread that listens, and goes on listening whatever fails."""

from __future__ import annotations

import logging
import queue
import threading
import time
from collections.abc import Callable

import numpy as np

from bench.audio.outages import Outages
from bench.audio.samples import Samples
from bench.audio.source import EndOfSound, Source
from bench.core.notes import BenchError
from bench.ears.ear_events import EarEvent, Ended, Listening, Utterance, VoiceStarted, VoiceStopped
from bench.ears.ear_settings import EarSettings
from bench.ears.endpointing import Endpointing, Understand
from bench.ears.gain_control import GainControl
from bench.ears.level import Meter
from bench.ears.recognizer import Recognizer
from bench.ears.segments import CHUNK, CHUNK_SECONDS, Phase
from bench.ears.surroundings import Surroundings
from bench.ears.voice_activity import VoiceActivity
from bench.language.meaning import Expectation, Heard
from bench.language.write import written

log = logging.getLogger(__name__)

_POLL = 0.1
_RECOGNIZER_REMEDY = "Go on with the keys; Bench tries the recognizer again at the next word."


class Ears:
    """Listens to a source and calls `on_event` from its own thread with what it hears.

    `understand` is asked during pauses whether what was heard so far is whole: that decides how long to wait.
    `start` returns at once; a microphone that is not there is a Failed event, followed by Recovered when it comes.
    All methods may be called from any thread.
    """

    def __init__(
        self,
        recognizer: Recognizer,
        source: Source,
        on_event: Callable[[EarEvent], None],
        understand: Understand,
        settings: EarSettings | None = None,
    ) -> None:
        self._recognizer = recognizer
        self._source = source
        self._tell = on_event
        self._outages = Outages(on_event)
        self._settings = settings or EarSettings()
        self._meter = Meter(self._settings.level_every)
        self._activity = VoiceActivity(self._settings)
        self._endpointing = Endpointing(
            recognizer, self._activity, self._settings, understand, self._guarded, on_event
        )
        self._surroundings = Surroundings(self._settings)
        self._gain = GainControl()
        self._clock = 0.0
        self._rest: Samples = np.empty(0, np.int16)
        self._orders: queue.Queue[Expectation | bool] = queue.Queue()
        self._expectation: Expectation | None = None
        self._deaf = False
        self._expected = False
        self._expect_again = 0.0
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="ears", daemon=True)

    def start(self) -> None:
        """Begin to listen."""
        self._thread.start()

    def expect(self, expectation: Expectation) -> None:
        """Set what can be said from now on. An utterance that was begun is dropped."""
        self._orders.put(expectation)

    def deafen(self, deaf: bool) -> None:
        """True: hear nothing, and drop what was begun. False: hear again, first what lasts past the hold-off."""
        self._orders.put(deaf)

    def close(self) -> None:
        """Stop listening and release the microphone and the recognizer. Safe to call twice."""
        self._stop.set()
        if self._thread.is_alive() and self._thread is not threading.current_thread():
            self._thread.join(5)
        self._recognizer.close()

    # -- the listening thread ------------------------------------------------------------------------------

    def _run(self) -> None:
        try:
            while not self._stop.is_set():
                try:
                    if self._connected():
                        self._listen()
                except EndOfSound:
                    self._finish_recording()
                except Exception as error:
                    self._stumble(error)
        finally:
            self._source.close()

    def _stumble(self, error: Exception) -> None:
        """Report a programming error, drop the utterance, and start to listen again."""
        log.exception("fault while listening")
        self._outages.failed("ears", f"The ears failed: {error}.", "Bench goes on listening.")
        self._activity.forget()
        self._source.close()
        self._stop.wait(self._settings.retry_every)

    def _connected(self) -> bool:
        """Open the source, trying until it works or the ears are closed."""
        while not self._stop.is_set():
            try:
                self._source.open()
            except BenchError as error:
                self._outages.failed("microphone", written(error.message), written(error.remedy))
                self._follow_orders()
                self._stop.wait(self._settings.retry_every)
            else:
                return True
        return False

    def _listen(self) -> None:
        """Process sound until the source delivers none any more. Its first sound may take longer."""
        patience = self._settings.first_sound
        told = False
        last = time.monotonic()
        while not self._stop.is_set():
            self._follow_orders()
            if self._expected and not told:
                self._tell(Listening(self._source.name))
                told = True
            if self._deaf and self._source.waits:
                self._stop.wait(_POLL / 2)
                last = time.monotonic()
                continue
            block = self._source.read(_POLL)
            if block is not None:
                self._outages.over("microphone", f"The microphone works again: {self._source.name}.")
                last, patience = time.monotonic(), self._settings.lost_after
                self._take(block)
            elif time.monotonic() - last > patience:
                self._lose()
                return

    def _lose(self) -> None:
        self._forget()
        self._source.close()
        message = f"The microphone {self._source.name} gives no sound any more."
        remedy = "Plug it in again; Bench finds it by itself. The keys work meanwhile."
        self._outages.failed("microphone", message, remedy)

    def _finish_recording(self) -> None:
        """The recording is over, and with it the utterance."""
        if self._activity.in_utterance:
            self._conclude()
        self._tell(Ended())
        while not self._stop.is_set():
            self._follow_orders()
            self._stop.wait(_POLL)

    def _follow_orders(self) -> None:
        while not self._orders.empty():
            order = self._orders.get()
            if isinstance(order, bool):
                self._turn(order)
            elif order != self._expectation:
                self._expectation = order
                self._forget()
                self._expect(order)
        if self._expectation is not None and not self._expected and time.monotonic() >= self._expect_again:
            self._expect(self._expectation)

    def _expect(self, wanted: Expectation) -> None:
        """Give the current grammar to the recognizer. A failure is tried again."""
        self._expected = self._guarded(lambda: self._recognizer.expect(wanted))
        self._expect_again = time.monotonic() + self._settings.retry_every

    def _turn(self, deaf: bool) -> None:
        was_deaf, self._deaf = self._deaf, deaf
        self._forget()
        if was_deaf and not deaf:
            self._surroundings.forget()
            if not self._source.waits:
                self._activity.voice_ended()

    def _forget(self) -> None:
        """Drop an utterance that was begun, and the sound before it."""
        if self._activity.in_utterance:
            self._guarded(self._recognizer.finish)
            self._tell(VoiceStopped())
        self._activity.forget()

    def _take(self, block: Samples) -> None:
        level = self._meter.add(block)
        if level is not None:
            self._tell(level)
        sound = np.concatenate([self._rest, block])
        whole = len(sound) // CHUNK * CHUNK
        self._rest = sound[whole:]
        for start in range(0, whole, CHUNK):
            self._hear(sound[start : start + CHUNK])

    def _hear(self, chunk: Samples) -> None:
        """One frame of sound."""
        if self._deaf or not self._expected:
            return
        if not self._activity.holding_off:
            self._clock += CHUNK_SECONDS
        before = self._activity.phase
        phase = self._activity.hear(chunk)
        if self._activity.begun is not None:
            self._begin(self._activity.begun)
        elif before in (Phase.SPEAKING, Phase.PAUSING):
            self._follow(chunk, phase)

    def _begin(self, sound: Samples) -> None:
        self._tell(VoiceStarted())
        self._endpointing.begin()
        self._gain.begin()
        self._guarded(lambda: self._recognizer.accept(self._gain.add(sound)))

    def _follow(self, chunk: Samples, phase: Phase) -> None:
        """Give the recognizer one more frame, and end the utterance when it is over."""
        if phase is Phase.OVERRUN:
            self._give_up()
        elif not self._guarded(lambda: self._recognizer.accept(self._gain.add(chunk))):
            self._activity.end()
        elif phase is not Phase.PAUSING:
            self._endpointing.speaking()
        elif self._endpointing.over():
            self._conclude()

    def _conclude(self) -> None:
        """End the utterance and report what was heard."""
        begun = self._clock - self._activity.length
        self._activity.end()
        self._tell(VoiceStopped())
        self._guarded(lambda: self._told(self._recognizer.finish(), begun))

    def _told(self, heard: Heard, begun: float) -> None:
        self._outages.over("recognizer", "The recognizer works again.")
        self._outages.over("ears", "The ears work again.")
        if heard.confidence >= self._settings.not_ours:
            self._gain.learn()
        self._tell(Utterance(self._surroundings.weigh(heard, begun, self._clock)))

    def _give_up(self) -> None:
        """The speech is too long for an answer. Report it as talk that was not for us."""
        seconds = self._activity.length
        self._guarded(self._recognizer.finish)
        self._tell(VoiceStopped())
        self._told(Heard((), seconds), self._clock - seconds)

    def _guarded(self, work: Callable[[], object]) -> bool:
        """Run `work` of the recognizer. An error becomes an event. True without one."""
        try:
            work()
        except BenchError as error:
            remedy = written(error.remedy) or _RECOGNIZER_REMEDY
            self._outages.failed("recognizer", written(error.message), remedy)
        except Exception as error:
            log.exception("fault in the recognizer")
            self._outages.failed("recognizer", f"The recognizer failed: {error}.", _RECOGNIZER_REMEDY)
        else:
            return True
        self._expected = False
        return False
