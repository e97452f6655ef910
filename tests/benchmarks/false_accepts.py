"""How often talk, reading, radio-like speech and tools are taken for an answer or a command, an hour.

    python -m tests.benchmarks.false_accepts [--ears auto] [--model DIR] [--second DIR] [--part 4] [--hours 3]
    python -m tests.benchmarks.false_accepts --slice 1/4 --out one.json       a share of it
    python -m tests.benchmarks.false_accepts --merge one.json two.json ...    the table of all shares

The sound goes through the whole of the ears: voice detector, end of speech, recognizer, understanding. Nothing
in it is meant for the assistant: meetings (AMI), telephone calls (WUW II), books (LibriSpeech, LJ Speech), other
assistants' wake words. It is looped with the noises of `shared/speech/noise`, and the noises are played alone.
A false accept is an utterance on which Bench would act. Numbers would still be read back.
"""

from __future__ import annotations

import argparse
import queue
from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date

import numpy as np

from bench.audio.samples import RATE, Samples
from bench.audio.source import RecordingSource
from bench.data.phrases import lexicon
from bench.dialogue.events import Failed
from bench.ears.choose import EARS, recognizer
from bench.ears.ear_events import EarEvent, Ended, Utterance
from bench.ears.ears import Ears
from bench.ears.recognizer import Recognizer
from bench.ears.two_recognizers import TwoRecognizers
from bench.ears.vosk_ear import VoskRecognizer
from bench.language.meaning import Expectation, Heard, Kind, Trouble
from bench.language.understand import understand
from tests.benchmarks import states
from tests.benchmarks.parts import Share, load, options, save, share
from tests.benchmarks.records import Overheard, Track
from tests.benchmarks.sounds import LEVELS, noises, training, with_noise
from tests.ears.corpus import Entry, entries, sound

STUDY = "false accepts"
PAUSED = "paused"
STATES = {
    "listening for a bend": states.bend,
    "listening for a length": states.length,
    "listening for yes or no": states.yes_or_no,
    "listening for a command": states.command,
    PAUSED: states.paused,
}
TALK = ("ami-meeting-corpus", "librispeech", "ljspeech", "wake-word-benchmark")
GAP = np.zeros(RATE, np.int16)


def tracks(one: Share, seed: int = 0) -> Iterator[tuple[str, Samples]]:
    """Names and sounds of what is played: each kind of speech at each noise level, then the noise alone.

    Another `seed` mixes other noises into the speech.
    """
    plain = entries(_held_out)
    calls = entries(lambda entry: entry["source"] == "wuw-corpus-ii", share_alike=True)
    clips = [(number, sound(entry)) for number, entry in one.taken([*plain, *calls])]
    for level in LEVELS:
        pieces = [with_noise(clip, level, seed + number) for number, clip in clips]
        at = "clean" if level is None else f"{level:.0f} dB"
        if pieces:
            yield f"talk, {at}", np.concatenate([each for piece in pieces for each in (piece, GAP)])
    alone = [np.resize(noise, 20 * RATE) for _, noise in one.taken(noises())]
    if alone:
        yield "tools and engines alone", np.concatenate(alone)


def _held_out(entry: Entry) -> bool:
    """Talk by people no model was trained on."""
    trained = training()
    heard_before = entry["speaker"] in trained["speakers"] or entry["path"] in trained["talk"]
    return entry["source"] in TALK and not heard_before


def overheard(ear: Recognizer, expectation: Expectation, track: Samples) -> list[Overheard]:
    """What Bench makes of a track in one state, utterance by utterance."""
    told: queue.Queue[EarEvent | Overheard] = queue.Queue()

    def hear(event: EarEvent) -> None:
        # In the listening thread, right after the recognizer has answered: what it keeps is of this utterance.
        told.put(_made_of(ear, event.heard, expectation) if isinstance(event, Utterance) else event)

    source = RecordingSource(track, paced=False)
    ears = Ears(ear, source, hear, lambda heard: understand(heard, expectation, lexicon()))
    ears.expect(expectation)
    ears.start()
    found = []
    while not isinstance(event := told.get(), Ended):
        if isinstance(event, Failed):
            raise SystemExit(f"The ears failed, so this study tells nothing: {event.message}")
        if isinstance(event, Overheard):
            found.append(event)
    ears.close()
    return found


def _made_of(ear: Recognizer, heard: Heard, expectation: Expectation) -> Overheard:
    understood = understand(heard, expectation, lexicon())
    meaning = understood.meaning
    taken = "" if meaning is None else "commands" if meaning.kind in (Kind.COMMAND, Kind.YESNO) else "numbers"
    asked = understood.trouble not in (None, Trouble.NOTHING)
    alone, joint = None, []
    if isinstance(ear, TwoRecognizers) and heard.hypotheses:
        alone, joint = ear.apart.alone, list(ear.apart.evidence.features)
    elif isinstance(ear, VoskRecognizer) and heard.hypotheses:
        alone = ear.evidence
    return Overheard(heard.text, taken, understood.confidence, asked, alone, joint)


def rounds(one: Share, hours: float) -> Iterator[tuple[str, Samples]]:
    """The tracks, once; or again and again with other noises until so many hours have been played."""
    seconds, seed = 0.0, 0
    while True:
        for what, track in tracks(one, seed):
            if seed and seconds >= 3600 * hours:
                return
            seconds += len(track) / RATE
            yield what, track
        seed += 1000


def measured(args: argparse.Namespace) -> list[Track]:
    """One share of all there is."""
    one, found = share(args), []
    for name in args.ears:
        for state, asked in STATES.items():
            for what, track in rounds(one, args.hours / len(STATES) / one.of):
                ear = recognizer(name, args.model, args.second)
                heard = overheard(ear, asked(), track)
                found.append(Track(name, state, what, len(track) / RATE, heard))
    return found


def table(tracks: Sequence[Track], words: bool) -> Iterator[str]:
    """A row for each recognizer, state and kind of sound, and one for all talk of a state."""
    yield "| ear | state | sound | minutes | utterances | false numbers | false commands | asks again |"
    yield "|---|---|---|---|---|---|---|---|"
    for ear, state in dict.fromkeys((one.ear, one.state) for one in tracks):
        mine = [one for one in tracks if (one.ear, one.state) == (ear, state)]
        for what in dict.fromkeys(one.what for one in mine):
            yield _row(ear, state, what, [one for one in mine if one.what == what])
        yield _row(ear, state, "**all**", mine)
    if words:
        taken = Counter(
            (one.ear, one.state, heard.taken, f"{heard.text} ({heard.confidence:.2f})")
            for one in tracks
            for heard in one.heard
            if heard.taken
        )
        yield ""
        for (ear, state, kind, text), times in taken.items():
            yield f"{ear}, {state}, {kind}: {text}, {times} times"


def _row(ear: str, state: str, what: str, tracks: Sequence[Track]) -> str:
    minutes = sum(one.seconds for one in tracks) / 60
    heard = [each for one in tracks for each in one.heard]
    hourly = [60 / minutes * sum(one.taken == kind for one in heard) for kind in ("numbers", "commands")]
    again = 60 / minutes * sum(one.asked for one in heard)
    rates = " | ".join(f"{rate:.1f}" for rate in (*hourly, again))
    return f"| {ear} | {state} | {what} | {minutes:.1f} | {len(heard)} | {rates} |"


def main() -> int:
    """Measure or put together; write the results or print the table."""
    parser = options(__doc__)
    parser.add_argument("--ears", nargs="+", choices=EARS, default=list(EARS), help="which are compared")
    parser.add_argument("--hours", type=float, default=0.0, help="hours of sound altogether, for each ear")
    parser.add_argument("--words", action="store_true", help="list what was taken")
    args = parser.parse_args()
    found = load(STUDY, args.merge, Track) if args.merge else measured(args)
    if args.out:
        save(STUDY, args, found)
        return 0
    print(f"\n{date.today().isoformat()}; false accepts and questions are an hour.\n")
    for line in table(found, args.words):
        print(line)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
