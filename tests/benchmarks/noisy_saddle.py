"""A whole saddle by voice through a virtual microphone, in noise.

    python -m tests.benchmarks.noisy_saddle [--snr 6] [--ear auto] [--voice "flite rms"] [--listeners]

The job and the person's part in it are those of the demonstration (`shared/demo.toml`), the marks that must come of it
too. Each utterance goes through the microphone of a private sound system with another noise of `shared/speech/noise`
that no model was trained on, so many decibels below the speech, half a second before and after it included.
"""

from __future__ import annotations

import argparse
import logging
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from bench.assistant.assembly import Options
from bench.data.bundle import knowledge
from bench.demo.showing import Demo
from bench.ears.ear_events import Utterance
from bench.voice.renderer import Renderer
from tests.audio_rig import RATE, AudioRig
from tests.benchmarks.sounds import with_noise


class NoisyDemo(Demo):
    """The demonstration with its sound going through the rig's microphone, in noise."""

    def __init__(self, folder: Path, options: Options, rig: AudioRig, voice: str, snr: float | None) -> None:
        super().__init__(folder, options, knowledge(), sys.stdout)
        self._rig, self._person_voice, self._snr = rig, voice, snr
        self._renderer = Renderer()
        self.utterances = 0
        self._post = self.assistant.loop.post
        self.assistant.loop.post = self._noted  # type: ignore[method-assign]

    def _open(self) -> None:
        self.assistant.open_voice()
        self.assistant.open_ears()

    def _noted(self, item: object) -> None:
        if isinstance(item, Utterance):
            best = item.heard.text or "-"
            print(f"    heard: {best} ({item.heard.confidence:.2f})", flush=True)
        self._post(item)  # type: ignore[arg-type]

    def _say(self, words: str) -> None:
        self.utterances += 1
        print(f"    you: {words}", flush=True)
        sound = self._renderer.render(words, self._person_voice, 140).tidied().at(RATE)
        self._rig.play(np.asarray(with_noise(sound.samples // 2, self._snr, self.utterances)), RATE)


def main() -> int:
    """Hold the conversation, print it, and count what was said."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--snr", type=float, default=6.0, help="decibels from the noise up to the speech")
    parser.add_argument("--ear", default="auto", help="which recognizers")
    parser.add_argument("--voice", default="flite rms", help="the person's voice")
    parser.add_argument("--listeners", action="store_true", help="tell what each recognizer heard")
    args = parser.parse_args()
    if args.listeners:
        logging.basicConfig(format="      %(message)s", stream=sys.stdout)
        logging.getLogger("bench.ears.two_recognizers").setLevel(logging.INFO)
    began = time.monotonic()
    with AudioRig() as rig, rig.here(), tempfile.TemporaryDirectory() as folder:
        demo = NoisyDemo(Path(folder) / "jobs", Options({"ear": args.ear}), rig, args.voice, args.snr)
        demo.run()
    minutes = (time.monotonic() - began) / 60
    print(f"\n{args.snr:.0f} dB: {demo.utterances} utterances, {minutes:.1f} minutes. {demo.verdict}")
    return 0 if demo.right else 1


if __name__ == "__main__":
    raise SystemExit(main())
