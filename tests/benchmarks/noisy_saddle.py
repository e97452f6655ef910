"""A whole saddle by voice through a virtual microphone, in noise.

    python -m tests.benchmarks.noisy_saddle [--snr 6]

The conversation is that of `tests/end_to_end/test_saddle_by_voice.py`, its checks included; noises are those of
`shared/speech/noise` that no model was trained on, another one for each utterance.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from pathlib import Path

from tests.audio_rig import AudioRig
from tests.end_to_end.conftest import Assistant, Conversation
from tests.end_to_end.test_saddle_by_voice import test_a_saddle_by_voice_with_a_crash_in_the_middle as saddle


def main() -> None:
    """Hold the conversation, print it, and count what was said."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--snr", type=float, default=6.0, help="decibels from the noise up to the speech")
    args = parser.parse_args()
    began = time.monotonic()
    with AudioRig() as rig, tempfile.TemporaryDirectory() as folder, rig.recording() as record:
        assistant = Assistant(rig, Path(folder) / "jobs", "--voice", "flite slt", snr=args.snr)
        talk = Conversation(assistant, record)
        try:
            saddle(talk)
        finally:
            assistant.close()
            print("\n".join(talk.transcript))
    minutes = (time.monotonic() - began) / 60
    print(f"\n{args.snr:.0f} dB: {talk.utterances} utterances, {minutes:.1f} minutes; all marks right.")


if __name__ == "__main__":
    main()
