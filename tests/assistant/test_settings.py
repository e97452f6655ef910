"""Settings survive a restart, and an invalid setting affects no other."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import pytest

from bench.assistant.assembly import Options, settings_for
from bench.assistant.settings import Settings, settings_from
from bench.dialogue.events import Key
from bench.job.records import Record, RecordKind
from bench.memory.store import NotSaved, Store
from bench.screen.themes import ThemeName


def test_nothing_kept_is_a_new_user() -> None:
    assert settings_from({}) == (Settings(), ())


def test_what_is_kept_comes_back(tmp_path: Path) -> None:
    with closing(Store(tmp_path)) as store:
        store.keep({"mic": "USB headset", "volume_db": -8.0, "keys": {"f13": "next"}})
        store.keep({"theme": "sunlight"})
    with closing(Store(tmp_path)) as store:
        kept = settings_from(store.settings())
    wanted = Settings(mic="USB headset", volume_db=-8.0, keys={"f13": Key.NEXT}, theme=ThemeName.SUNLIGHT)
    assert kept == (wanted, ())


def test_a_senseless_setting_costs_only_itself() -> None:
    kept = settings_from({"words_per_minute": "fast", "keys": 7, "theme": "light", "unknown": 1})
    assert kept == (Settings(theme=ThemeName.LIGHT), ("words_per_minute", "keys"))


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("theme", "plaid"),
        ("ear", "third"),
        ("keys", {"f13": "explode"}),
        ("words_per_minute", 10**6),
        ("volume_db", float("nan")),
        ("volume_db", 90.0),
    ],
)
def test_a_setting_that_no_version_has_is_named_at_the_start(
    tmp_path: Path, name: str, value: object
) -> None:
    with closing(Store(tmp_path)) as store:
        store.keep({name: value})
    with closing(Store(tmp_path)) as store:
        assert settings_for(store, Options()) == Settings()
        assert name.replace("_", " ") in store.notice[0]


def test_settings_go_out_with_the_next_save_when_the_disk_was_away(tmp_path: Path) -> None:
    with closing(Store(tmp_path)) as store:
        away = tmp_path / "jobs.db"
        away.rename(tmp_path / "away")
        away.mkdir()
        with pytest.raises(NotSaved):
            store.keep({"theme": "light"})
        away.rmdir()
        store.commit({}, [Record(RecordKind.STEP_DONE, {})])
    with closing(Store(tmp_path)) as store:
        assert store.settings() == {"theme": "light"}
