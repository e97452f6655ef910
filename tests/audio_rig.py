"""A private sound system for tests: a virtual microphone and a virtual loudspeaker, without any hardware.

A private PulseAudio daemon (own runtime folder, no system configuration, works as root) has two
null sinks:

* `mic`: what a test plays into it is what the default microphone hears;
* `speaker`: the default output; what a program plays there can be recorded.

They are separate, so a program never hears itself unless a test plays its speech back into `mic`.

    with AudioRig() as rig:
        program = subprocess.Popen([...], env=rig.environment())   # a program that uses PortAudio
        with rig.recording() as record:
            rig.play(samples, 16000)                                # spoken into the microphone
        record.samples                                              # int16, 16 kHz, what the program played

For sound in the test's own process use `rig.here()`, which points this process at the rig while it lasts.
Needs the packages pulseaudio, pulseaudio-utils, libasound2-plugins and libportaudio2.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

RATE = 16_000
PACKAGES = "pulseaudio pulseaudio-utils libasound2-plugins libportaudio2"
_READY_WITHIN = 20.0

Samples = NDArray[np.int16]

_ASOUNDRC = """
pcm.pulse { type pulse }
ctl.pulse { type pulse }
pcm.!default { type pulse }
ctl.!default { type pulse }
"""
"""ALSA as PortAudio sees it inside the rig: PulseAudio and nothing else."""


class AudioRig:
    """A running private PulseAudio daemon. Use it as a context manager, or call `start` and `close`."""

    def __init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="bench-audio-"))
        self._daemon: subprocess.Popen[bytes] | None = None
        self._keepers: list[subprocess.Popen[bytes]] = []
        self._log = self.folder / "pulseaudio.log"

    # -- life ---------------------------------------------------------------------------------------------

    def __enter__(self) -> AudioRig:
        self.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def start(self) -> None:
        """Start the daemon and wait until both sinks answer. Raises RuntimeError saying what is missing."""
        for program in ("pulseaudio", "pactl", "parec", "pacat"):
            if shutil.which(program) is None:
                raise RuntimeError(f"{program} is missing: apt-get install {PACKAGES}")
        (self.folder / "asoundrc").write_text(_ASOUNDRC)
        command = ["pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no"]
        command += ["--realtime=no", "--high-priority=no", "--disable-shm=yes", "--log-target=stderr"]
        command += ["-L", f"module-native-protocol-unix auth-anonymous=1 socket={self._socket}"]
        for name in ("mic", "speaker"):
            command += ["-L", _sink(name)]
        with self._log.open("wb") as log:
            self._daemon = subprocess.Popen(command, env=self.environment(), stdout=log, stderr=log)
        self._await_sinks()
        self.pactl("set-default-sink", "speaker")
        self.pactl("set-default-source", "mic.monitor")
        self._keep_time("mic", "speaker")
        self._await_time()

    def close(self) -> None:
        """Stop the daemon and remove its folder."""
        self.kill()
        shutil.rmtree(self.folder, ignore_errors=True)

    def kill(self) -> None:
        """End the sound system at once, as if every device had been pulled out."""
        for keeper in self._keepers:
            keeper.kill()
            keeper.wait()
        self._keepers.clear()
        if self._daemon is not None:
            self._daemon.terminate()
            try:
                self._daemon.wait(5)
            except subprocess.TimeoutExpired:
                self._daemon.kill()
                self._daemon.wait()
            self._daemon = None

    # -- reaching it --------------------------------------------------------------------------------------

    def environment(self, base: dict[str, str] | None = None) -> dict[str, str]:
        """Environment (`base` or this process's, plus the rig's) for a program that is to use the rig."""
        return {**(os.environ if base is None else base), **self._variables()}

    @contextmanager
    def here(self) -> Iterator[None]:
        """Point PortAudio in this process to the rig. Streams open at entry or exit are closed."""
        before = {key: os.environ.get(key) for key in self._variables()}
        os.environ.update(self._variables())
        _reopen_portaudio()
        try:
            yield
        finally:
            for key, value in before.items():
                if value is None:
                    os.environ.pop(key, None)
                else:
                    os.environ[key] = value
            _reopen_portaudio()

    def pactl(self, *words: str) -> str:
        """Run `pactl` against the rig and return what it prints. Raises CalledProcessError."""
        done = subprocess.run(
            ["pactl", *words], env=self.environment(), check=True, capture_output=True, text=True, timeout=20
        )
        return done.stdout

    # -- sound in and out ---------------------------------------------------------------------------------

    def play(self, sound: Samples | Path | str, rate: int = RATE, sink: str = "mic") -> None:
        """Play samples (int16 mono at `rate` hertz) or a WAV file into a sink. Returns when all has been played."""
        if isinstance(sound, (str, Path)):
            sound, rate = read_wav(sound)
        command = ["pacat", "--playback", f"--device={sink}", "--format=s16le", "--channels=1"]
        # Buffer far enough ahead that a busy machine causes no gaps.
        command += [f"--rate={rate}", "--latency-msec=300"]
        began = time.monotonic()
        subprocess.run(command, env=self.environment(), input=sound.tobytes(), check=True)
        # pacat drains, but the monitor hands its last block over a little later.
        time.sleep(max(0.0, len(sound) / rate - (time.monotonic() - began)) + 0.05)

    @contextmanager
    def recording(self, source: str = "speaker.monitor", rate: int = RATE) -> Iterator[Recording]:
        """Record a source while the block lasts; `Recording.samples` can be read during and after it."""
        command = ["parec", f"--device={source}", "--format=s16le", "--channels=1"]
        command += [f"--rate={rate}", "--latency-msec=10"]
        process = subprocess.Popen(command, env=self.environment(), stdout=subprocess.PIPE)
        record = Recording(process, rate)
        record.wait_for_start()
        try:
            yield record
        finally:
            record.stop()

    # -- pulling and plugging -----------------------------------------------------------------------------

    def pull(self, name: str) -> None:
        """Take a sink (`mic`, `speaker` or one plugged in) out of the running system."""
        for line in self.pactl("list", "short", "modules").splitlines():
            number, _, rest = line.partition("\t")
            if f"sink_name={name} " in rest.replace("\t", " ") + " ":
                self.pactl("unload-module", number)
                return
        raise RuntimeError(f"no sink named {name}")

    def plug(self, name: str, default: bool = False) -> None:
        """Put a null sink in; with `default` it is the loudspeaker, or the microphone if named `mic...`."""
        module, _, arguments = _sink(name).partition(" ")
        self.pactl("load-module", module, *arguments.split())
        self._keep_time(name)
        if default and name.startswith("mic"):
            self.pactl("set-default-source", f"{name}.monitor")
        elif default:
            self.pactl("set-default-sink", name)

    # -- inside -------------------------------------------------------------------------------------------

    @property
    def _socket(self) -> Path:
        return self.folder / "native"

    def _variables(self) -> dict[str, str]:
        return {
            "PULSE_SERVER": f"unix:{self._socket}",
            "PULSE_RUNTIME_PATH": str(self.folder),
            "PULSE_STATE_PATH": str(self.folder),
            "PULSE_COOKIE": str(self.folder / "cookie"),
            "ALSA_CONFIG_PATH": str(self.folder / "asoundrc"),
        }

    def _keep_time(self, *names: str) -> None:
        """A null sink that nobody uses runs in steps of two seconds; a quick listener makes it a live one."""
        for name in names:
            command = [
                "parec",
                f"--device={name}.monitor",
                "--format=s16le",
                "--rate=8000",
                "--latency-msec=30",
            ]
            listener = subprocess.Popen(command, env=self.environment(), stdout=subprocess.DEVNULL)
            self._keepers.append(listener)

    def _await_time(self) -> None:
        """Wait until both sinks run: the first of those long steps has to pass."""
        with self.recording("mic.monitor"), self.recording("speaker.monitor"):
            pass

    def _await_sinks(self) -> None:
        deadline = time.monotonic() + _READY_WITHIN
        while time.monotonic() < deadline:
            try:
                if "speaker" in self.pactl("list", "short", "sinks"):
                    return
            except (subprocess.CalledProcessError, subprocess.TimeoutExpired):
                if self._daemon is None or self._daemon.poll() is not None:
                    break
            time.sleep(0.05)
        raise RuntimeError(f"PulseAudio did not start: {self._log.read_text(errors='replace')[-2000:]}")


class Recording:
    """Sound being recorded from the rig."""

    def __init__(self, process: subprocess.Popen[bytes], rate: int) -> None:
        self.rate = rate
        self._process = process
        self._space = np.empty(60 * rate, np.int16)
        self._count = 0
        self._first = threading.Event()
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    @property
    def samples(self) -> Samples:
        """Everything recorded so far, int16 mono at `rate` hertz."""
        return self._space[: self._count]

    @property
    def seconds(self) -> float:
        """Length recorded so far."""
        return self._count / self.rate

    def wait_for_start(self, seconds: float = 10.0) -> None:
        """Wait until the first samples have arrived. Raises TimeoutError."""
        if not self._first.wait(seconds):
            self.stop()
            raise TimeoutError("the recorder delivered nothing; is the source there?")

    def wait_for_sound(self, level: int = 200, since: float = 0.0, within: float = 10.0) -> float:
        """Time (s) of the first sample from `since` on louder than `level`, waited for. TimeoutError."""
        deadline = time.monotonic() + within
        while time.monotonic() < deadline:
            loud = np.flatnonzero(np.abs(self.samples[int(since * self.rate) :].astype(np.int32)) > level)
            if len(loud):
                return since + float(loud[0]) / self.rate
            time.sleep(0.01)
        raise TimeoutError(f"no sound within {within} s")

    def wait_for_silence(self, quiet: float = 0.8, level: int = 200, within: float = 60.0) -> float:
        """Wait until `quiet` seconds are all below `level`; the time the sound ended. TimeoutError."""
        deadline = time.monotonic() + within
        while time.monotonic() < deadline:
            heard = self.samples
            loud = np.flatnonzero(np.abs(heard.astype(np.int32)) > level)
            end = (float(loud[-1]) + 1) / self.rate if len(loud) else 0.0
            if len(heard) / self.rate - end >= quiet:
                return end
            time.sleep(0.05)
        raise TimeoutError(f"still sounding after {within} s")

    def stop(self) -> None:
        """End the recording."""
        if self._process.poll() is None:
            self._process.terminate()
        self._process.wait(5)
        self._reader.join(5)

    def _read(self) -> None:
        assert self._process.stdout is not None
        half = b""
        while chunk := os.read(self._process.stdout.fileno(), 4096):
            chunk = half + chunk
            half = chunk[len(chunk) // 2 * 2 :]
            new = np.frombuffer(chunk, np.int16, len(chunk) // 2)
            if self._count + len(new) > len(self._space):
                self._space = np.concatenate([self._space, np.empty_like(self._space)])
            self._space[self._count : self._count + len(new)] = new
            self._count += len(new)
            self._first.set()


def read_wav(path: Path | str) -> tuple[Samples, int]:
    """A sound file as int16 mono samples and its rate in hertz."""
    data, rate = soundfile.read(path, dtype="int16", always_2d=True)
    return np.ascontiguousarray(data[:, 0]), int(rate)


def synthetic_voice(words: str, voice: str = "espeak:en-us", wpm: int = 150) -> tuple[Samples, int]:
    """Words spoken by a synthetic voice, `espeak:VARIANT` or `flite:VOICE`; samples and their rate."""
    engine, _, name = voice.partition(":")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "words.wav"
        if engine == "flite":
            command = ["flite", "-voice", name or "slt", "-t", words, "-o", str(path)]
        else:
            command = ["espeak-ng", "-v", name or "en-us", "-s", str(wpm), "-w", str(path), words]
        subprocess.run(command, check=True, capture_output=True)
        return read_wav(path)


def _sink(name: str) -> str:
    return (
        f"module-null-sink sink_name={name} rate={RATE * 3} channels=1 "
        f"sink_properties=device.description={name} format=s16le"
    )


def _reopen_portaudio() -> None:
    """Make PortAudio list the devices again, which it does only when it is initialized."""
    import sounddevice

    sounddevice._terminate()
    sounddevice._initialize()
