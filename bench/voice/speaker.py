"""The assistant's interface to the voice: say, hush, tones. Every failure is an event, never an exception."""

from __future__ import annotations

import logging
import queue
import re
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

from bench.audio.loudspeaker import Loudspeaker
from bench.audio.outages import Outages
from bench.audio.outputs import output_names
from bench.audio.sound import Sound
from bench.core.notes import BenchError
from bench.dialogue.effects import Tone, Tuning
from bench.language.write import written
from bench.voice.renderer import Renderer
from bench.voice.tones import tone
from bench.voice.voice_events import Silent, Speaking, VoiceEvent
from bench.voice.voice_settings import VoiceSettings
from bench.voice.voices import AUTO

log = logging.getLogger(__name__)

PAUSE_S = 0.25
"""Seconds of silence between two sentences."""

RETRY_S = (1.0, 2.0, 4.0, 8.0, 15.0)
"""Delays before a lost loudspeaker is tried again. The last one repeats."""

LOOK_AGAIN_S = 15.0
"""Seconds between searches for the requested loudspeaker while another is used instead."""

OVERDUE_S = 3.0
"""Seconds after the expected end of a turn at which an unreported end means a dead loudspeaker."""

_SENTENCE = re.compile(r"(?<=[.?!])\s+")


@dataclass(frozen=True, slots=True)
class _Say:
    turn: int
    words: str


@dataclass(frozen=True, slots=True)
class _Hush:
    pass


@dataclass(frozen=True, slots=True)
class _Done:
    turn: int


@dataclass(frozen=True, slots=True)
class _Lost:
    loudspeaker: Loudspeaker | None
    reason: str


@dataclass(frozen=True, slots=True)
class _Close:
    pass


_Order = _Say | _Hush | _Done | _Lost | _Close


class Speaker:
    """Speaks words through the loudspeaker. Methods return at once. `on_event` is called from a separate thread.

    The words must contain no digits or symbols. One `Silent` follows the last of consecutive `say` calls, also when
    no voice is available, so a caller that waits for the end never hangs. Tones cause no events: they are short,
    low and unlike speech.
    """

    def __init__(self, on_event: Callable[[VoiceEvent], None], settings: VoiceSettings | None = None) -> None:
        self._on_event = on_event
        self._settings = settings or VoiceSettings()
        self._voice = self._settings.voice
        self._orders: queue.SimpleQueue[_Order] = queue.SimpleQueue()
        self._thread = threading.Thread(target=self._work, name="voice", daemon=True)
        self._renderer = Renderer()
        self._loudspeaker: Loudspeaker | None = None
        self._asked = 0
        self._hushed = 0
        self._sounding: int | None = None
        self._owed = False
        self._overdue = 0.0
        self._outages = Outages(on_event)
        self._attempt = 0
        self._look_at = 0.0

    # -- called from anywhere -----------------------------------------------------------------------------

    @property
    def settings(self) -> VoiceSettings:
        """The current settings."""
        return self._settings

    def start(self) -> None:
        """Open the loudspeaker and start the voice in the background."""
        self._thread.start()

    def say(self, words: str) -> None:
        """Speak these words. They replace any being spoken."""
        self._asked += 1
        self._orders.put(_Say(self._asked, words))

    def hush(self) -> None:
        """Stop speaking at once."""
        self._hushed = self._asked
        loudspeaker = self._loudspeaker
        if loudspeaker is not None:
            loudspeaker.hush()
        self._orders.put(_Hush())

    def earcon(self, which: Tone) -> None:
        """Play one of the short tones, over any speech."""
        loudspeaker = self._loudspeaker
        if loudspeaker is not None:
            loudspeaker.tone(tone(which, loudspeaker.rate))

    def tune(self, what: Tuning, by: int) -> None:
        """Change volume or rate by `by` steps. Volume changes at once, rate with the next sentence."""
        self._settings = self._settings.tuned(what, by)
        loudspeaker = self._loudspeaker
        if loudspeaker is not None:
            loudspeaker.gain(self._settings.volume_db)

    def close(self) -> None:
        """Stop speaking and release everything. Returns within two seconds."""
        self._orders.put(_Close())
        if self._thread.is_alive():
            self._thread.join(2.0)

    # -- the voice's own thread ---------------------------------------------------------------------------

    def _work(self) -> None:
        self._open()
        self._wake_voice()
        while not isinstance(order := self._next(), _Close):
            try:
                self._obey(order)
            except Exception as error:  # a bug of ours must not silence the voice
                log.exception("error in the voice")
                self._trouble("voice", BenchError("The voice failed.", str(error), code="voice_failed"))
                self._fall_silent()
        self._renderer.close()
        if self._loudspeaker is not None:
            self._loudspeaker.close()

    def _next(self) -> _Order | None:
        """The next order, or None when it is time to check the loudspeaker."""
        try:
            return self._orders.get(timeout=max(0.05, min(self._look_at - time.monotonic(), 1.0)))
        except queue.Empty:
            return None

    def _obey(self, order: _Order | None) -> None:
        match order:
            case _Say(turn, words) if turn == self._asked and turn > self._hushed:
                self._owed = True
                self._speak(turn, words)
            case _Hush() if self._sounding is not None and self._loudspeaker is not None:
                self._loudspeaker.hush()
            case _Hush():
                self._fall_silent()
            case _Say(turn):
                self._owed = True
            case _Done(turn) if turn == self._sounding:
                self._fall_silent()
            case _Lost(loudspeaker, reason) if loudspeaker is self._loudspeaker:
                self._lose(reason)
        self._look_after()

    def _speak(self, turn: int, words: str) -> None:
        sentences = [sentence for sentence in _SENTENCE.split(words.strip()) if sentence]
        if self._loudspeaker is None or not sentences:
            self._fall_silent()
            return
        for number, sentence in enumerate(sentences, 1):
            last = number == len(sentences)
            sound = self._render(sentence, 0.0 if last else PAUSE_S)
            if turn != self._asked or turn <= self._hushed:
                return
            if sound is None:
                self._give_up(turn)
                return
            if number == 1:
                self._on_event(Speaking(words))
                self._sounding, self._overdue = turn, time.monotonic() + OVERDUE_S
            self._overdue += sound.seconds
            self._loudspeaker.play(turn, sound, last)

    def _give_up(self, turn: int) -> None:
        """End the current turn after the voice failed."""
        if self._sounding == turn and self._loudspeaker is not None:
            self._loudspeaker.hush()
        else:
            self._fall_silent()

    def _render(self, sentence: str, pause: float) -> Sound | None:
        try:
            sound = self._renderer.render(sentence, self._voice, self._settings.words_per_minute)
        except BenchError as error:
            self._trouble("voice", error)
            if error.code != "voice_unknown":
                return None
            self._voice = AUTO
            return self._render(sentence, pause)
        self._outages.over("voice", "The voice works again.")
        return sound.tidied(pause)

    def _fall_silent(self) -> None:
        self._sounding = None
        if self._owed:
            self._owed = False
            self._on_event(Silent())

    # -- the loudspeaker ----------------------------------------------------------------------------------

    def _open(self) -> None:
        wanted = self._settings.speaker
        opened: list[Loudspeaker] = []
        try:
            loudspeaker = Loudspeaker(
                wanted,
                on_done=lambda turn: self._orders.put(_Done(turn)),
                on_lost=lambda reason: self._orders.put(_Lost(opened[0] if opened else None, reason)),
            )
        except BenchError as error:
            self._trouble("speaker", error)
            self._look_at = time.monotonic() + RETRY_S[min(self._attempt, len(RETRY_S) - 1)]
            self._attempt += 1
            return
        opened.append(loudspeaker)
        loudspeaker.gain(self._settings.volume_db)
        self._loudspeaker = loudspeaker
        self._attempt = 0
        self._look_at = time.monotonic() + LOOK_AGAIN_S
        if loudspeaker.stands_in:
            message = f"The speaker {wanted} is missing. Using {loudspeaker.device}."
            self._trouble("speaker", BenchError(message, "Plug it in. It is used as soon as it is found."))
        else:
            self._outages.over("speaker", f"The speaker works again: {loudspeaker.device}.")

    def _wake_voice(self) -> None:
        """Start the voice early, so that the first words are not slow and a missing voice is reported."""
        if self._loudspeaker is not None:
            self._render("ready", 0.0)

    def _lose(self, reason: str) -> None:
        log.warning("the speaker is lost: %s", reason)
        if self._loudspeaker is not None:
            self._loudspeaker.close()
        self._loudspeaker = None
        self._look_at = time.monotonic() + RETRY_S[0]
        remedy = "Plug it in again. Until then read the screen."
        self._trouble("speaker", BenchError("The speaker is gone.", remedy, code="speaker_missing"))
        self._fall_silent()

    def _look_after(self) -> None:
        """Detect a loudspeaker that failed without a report, and reopen a missing one."""
        now = time.monotonic()
        if self._sounding is not None and now > self._overdue:
            self._lose("it did not finish in time")
        if now < self._look_at or self._sounding is not None:
            return
        if self._loudspeaker is None:
            self._open()
        elif self._loudspeaker.stands_in:
            self._take_wanted_if_there()

    def _take_wanted_if_there(self) -> None:
        self._look_at = time.monotonic() + LOOK_AGAIN_S
        wanted = (self._settings.speaker or "").lower()
        if self._loudspeaker is not None and any(wanted in name.lower() for name in output_names()):
            self._loudspeaker.close()
            self._loudspeaker = None
            self._open()

    def _trouble(self, room: str, error: BenchError) -> None:
        self._outages.failed(room, written(error.message), written(error.remedy))
