"""`bench doctor` on a machine where all is well, and on machines where something is missing."""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from bench.doctor.recording import levels
from tests.audio_rig import RATE, AudioRig, synthetic_voice


def _doctor(environment: dict[str, str], data: Path, *options: str) -> tuple[int, dict[str, Any]]:
    command = [sys.executable, "-m", "bench", "doctor", "--json", "--data", str(data), *options]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=60)
    assert not done.stderr or "Say" in done.stderr, done.stderr
    return done.returncode, json.loads(done.stdout)


def _parts(report: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {finding["part"]: finding for finding in report["findings"]}


def test_a_machine_where_all_is_well(audio_rig: AudioRig, tmp_path: Path) -> None:
    code, report = _doctor(audio_rig.environment(), tmp_path)
    parts = _parts(report)
    assert [name for name, part in parts.items() if not part["works"]] == []
    assert (code, report["by_voice"]) == (0, True)
    assert not parts["ears"]["doubt"], parts["ears"]


def test_no_sound_system_no_voice_library_and_no_room_for_jobs_are_each_told_with_a_remedy(
    tmp_path: Path,
) -> None:
    broken = tmp_path / "broken"
    broken.mkdir()
    (broken / "libespeak-ng.so.1").touch()
    (broken / "libespeak.so.1").touch()
    (broken / "espeakng_loader.py").write_text("raise ImportError")
    (tmp_path / "file").touch()
    environment = {"HOME": str(tmp_path), "PATH": "", "PULSE_SERVER": "unix:/nowhere"}
    environment |= {"LD_LIBRARY_PATH": str(broken), "PYTHONPATH": f"{broken}:{Path.cwd()}"}
    code, report = _doctor(environment, tmp_path / "file" / "jobs")
    parts = _parts(report)
    assert (code, report["by_voice"]) == (1, False)
    for name in ("microphone", "speaker", "voice", "disk"):
        assert not parts[name]["works"], parts[name]
        assert parts[name]["remedy"]
    assert parts["data"]["works"]


def test_a_recording_is_judged_and_heard(audio_rig: AudioRig, tmp_path: Path) -> None:
    words, rate = synthetic_voice("twenty seven and three eighths", "flite:slt")
    speaking = threading.Event()

    def person() -> None:
        while not speaking.is_set():
            audio_rig.play(words, rate)

    thread = threading.Thread(target=person)
    thread.start()
    try:
        _, report = _doctor(audio_rig.environment(), tmp_path, "--record")
    finally:
        speaking.set()
        thread.join()
    assert -40 < report["speech_dbfs"] < 0
    assert report["snr_db"] > 20
    assert not report["clipped"]


@pytest.mark.parametrize("snr", [6.0, 15.0, 30.0])
def test_speech_and_noise_are_told_apart_by_what_was_mixed(snr: float) -> None:
    """White noise throughout and a tone in a third of it: the ratio found is the one mixed."""
    random = np.random.default_rng(1)
    noise = random.normal(0, 100, 3 * RATE)
    tone = np.sin(np.arange(RATE) * 0.3) * 100 * np.sqrt(2) * 10 ** (snr / 20)
    noise[RATE : 2 * RATE] += tone
    speech, quiet = levels(noise.astype(np.int16))
    together = 10 * np.log10(1 + 10 ** (snr / 10))
    assert speech - quiet == pytest.approx(together, abs=1.2)


def test_the_screen_is_measured_by_the_standard(tmp_path: Path) -> None:
    """16 minutes of arc are 4.65 mm for each meter (height = 2 D tan(angle / 2)); ISO 9241-303's least."""
    command = [sys.executable, "-m", "bench", "doctor", "--screen", "--terminal", "80x24", "--json"]
    report = json.loads(subprocess.run(command, capture_output=True, check=True, text=True).stdout)
    assert {reading["meters"] for reading in report["readings"]} == {2.0, 3.0, 5.0}
    for reading in report["readings"]:
        assert reading["enough"] == (reading["fraction"] >= 16)
