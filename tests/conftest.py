"""Fixtures for every package."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator

# Several processes with two threads each only wait for one another.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# Tests start the program a hundred times. It is compiled once, even where the environment says not to keep that.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

import pytest
from hypothesis import settings
from xdist.remote import Producer
from xdist.scheduler import LoadFileScheduling

from tests.audio_rig import AudioRig
from tests.examples import examples


@pytest.fixture(scope="session", autouse=True)
def own_cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """All processes of a run share a cache of their own; they find nothing in the user's and leave nothing there."""
    folder = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        folder = folder.parent
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(folder / "cache"))
        yield


@pytest.fixture(scope="session")
def audio_rig() -> Iterator[AudioRig]:
    """A virtual microphone and loudspeaker, one for the whole run; see `tests/audio_rig.py`."""
    with AudioRig() as rig:
        yield rig


@pytest.fixture
def own_rig() -> Iterator[AudioRig]:
    """A virtual microphone and loudspeaker for this test alone, which may pull them out or kill them."""
    with AudioRig() as rig:
        yield rig


_FIRST = (
    "end_to_end",
    "voice/test_speaker",
    "ears/test_ears",
    "ears/test_two_recognizers",
    "ears/test_rec",
    "ears/test_second",
    "assistant/test_devices",
    "doctor",
    "screen/test_browser",
    "packaging",
    "dialogue/test_scripts",
    "dialogue/test_laws",
    "dialogue/test_prompts",
    "screen/test_legible_steps",
    "screen/test_choices",
    "sheet/test_drawn",
    "language/test_phones",
)
"""Files that wait for real sound, then those that take long: begun last, one process would outlast the others."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the long files first, each in its own order."""
    items.sort(key=_place)


def _place(item: pytest.Item) -> int:
    return next(
        (at for at, name in enumerate(_FIRST) if f"/tests/{name}" in item.path.as_posix()), len(_FIRST)
    )


_TOGETHER = ("dialogue/test_laws", "dialogue/test_scripts", "dialogue/test_prompts")
"""Files that need every script run, which is done once for them."""


class Scheduling(LoadFileScheduling):  # type: ignore[misc]
    """Each file in one process, and those of `_TOGETHER` in the same one."""

    def _split_scope(self, nodeid: str) -> str:
        file = super()._split_scope(nodeid)
        return "scripts" if any(f"tests/{name}" in file for name in _TOGETHER) else file


def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> Scheduling:
    """The scheduling of a run in several processes."""
    return Scheduling(config, log)


settings.register_profile("shop", deadline=None, max_examples=examples(100))
settings.load_profile("shop")
"""A busy machine is not a failure: no test is judged by its time."""
