"""A power cut loses no step that had its reply, and the study of it notices what would: no sync, two transactions."""

from __future__ import annotations

import os
from fractions import Fraction
from pathlib import Path
from random import Random

import pytest

from bench.job.model import Profile
from bench.memory.benders import BENDER_FILE, BenderFile
from tests.benchmarks import power
from tests.benchmarks.power import Done, faulty, left_on_disk, study

OWN = Profile("mine", "emt", "1/2", Fraction(81, 16), Fraction(41, 16), 2.0)


@pytest.fixture(autouse=True, scope="module")
def disk() -> None:
    try:
        power.disk()
    except OSError as error:
        pytest.skip(f"SQLite takes no file layer here: {error}")


def test_no_step_that_had_its_reply_is_lost() -> None:
    made, wrong = study(25, seed=3, steps=15)
    assert (made, wrong) == (25, [])


def test_no_kill_inside_a_file_operation_loses_one() -> None:
    assert study(25, seed=7, steps=15, killed=True) == (25, [])


@pytest.mark.parametrize("fault", [(True, False), (False, True)], ids=["no sync", "two transactions"])
def test_a_store_that_would_lose_one_is_noticed(fault: tuple[bool, bool]) -> None:
    with faulty(*fault):
        assert study(25, seed=3, steps=15)[1]


def test_what_was_synced_stays_and_what_was_not_may_be_torn() -> None:
    block = bytes([1]) * 1024
    synced = [Done("write", "a", 0, block), Done("sync", "a")]
    assert left_on_disk(synced, Random(1)) == {"a": block}
    later = [*synced, Done("write", "a", 0, bytes([2]) * 1024)]
    images = {left_on_disk(later, Random(seed))["a"] for seed in range(40)}
    assert {len(image) for image in images} == {1024}
    assert len(images) >= 4, "old, new, the first or the second sector, or torn"
    assert any(image[:256] == bytes([2]) * 256 and image[256:512] == bytes([1]) * 256 for image in images)


def test_benders_are_forced_to_the_disk_before_they_take_the_old_ones_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What POSIX promises of rename without a sync before it is a name, not the content (fsync(2), rename(2))."""
    order: list[str] = []
    fsync, replace = os.fsync, Path.replace

    def synced(handle: int) -> None:
        order.append(f"sync {Path(os.readlink(f'/proc/self/fd/{handle}')).name}")
        fsync(handle)

    def replaced(self: Path, target: Path) -> Path:
        order.append(f"replace {target.name}")
        return replace(self, target)

    monkeypatch.setattr("os.fsync", synced)
    monkeypatch.setattr(Path, "replace", replaced)
    BenderFile(tmp_path).keep(OWN)
    assert order[:2] == [f"sync {BENDER_FILE}.new", f"replace {BENDER_FILE}"]
