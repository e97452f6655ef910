"""Fixtures for every package."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator

os.environ.setdefault(
    "OPENBLAS_NUM_THREADS", "1"
)  # two workers with two threads each only wait for one another

import pytest
from hypothesis import settings

from tests.audio_rig import AudioRig
from tests.examples import examples


@pytest.fixture(scope="session", autouse=True)
def own_cache() -> Iterator[None]:
    """Tests share a cache of their own; they find nothing in the user's and leave nothing there."""
    with tempfile.TemporaryDirectory(prefix="bench-tests-") as folder, pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", folder)
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
    "dialogue/test_laws",
    "dialogue/test_scripts",
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


settings.register_profile("shop", deadline=None, max_examples=examples(100))
settings.load_profile("shop")
"""A busy machine is not a failure: no test is judged by its time."""
