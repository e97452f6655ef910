"""The user's cache: what is stored comes back whole or not at all, and no trouble with it is anybody's concern."""

from __future__ import annotations

import os
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest

from bench.data import folders
from bench.data.cache import Cache
from bench.data.phrases import lexicon
from bench.ears.fst import Costs, grammar_fst
from bench.ears.grammar_store import GrammarStore
from bench.language.grammar import plain_automaton, vocabulary
from bench.language.meaning import Expectation, Kind

ANGLE = Expectation(Kind.ANGLE, Fraction(0), Fraction(90), commands=("repeat", "back"))


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Path]:
    """The folder of the cache, which is not there yet."""
    folders.use(tmp_path)
    yield tmp_path / "cache" / "things"
    folders.use(None)


def only_file(folder: Path) -> Path:
    (file,) = folder.iterdir()
    return file


def test_what_is_stored_is_found_by_its_key_alone(folder: Path) -> None:
    Cache("things").put(b"one", b"first")
    assert Cache("things").get(b"one") == b"first"
    assert Cache("things").get(b"two") is None
    only_file(folder).rename(folder / Cache._path(folder, b"two").name)
    assert Cache("things").get(b"two") is None, "stored under another key"


@pytest.mark.skipif(os.name != "posix", reason="permissions of POSIX")
def test_others_cannot_read_it(folder: Path) -> None:
    Cache("things").put(b"one", b"first")
    assert only_file(folder).stat().st_mode & 0o077 == 0
    assert folder.stat().st_mode & 0o077 == 0


@pytest.mark.parametrize("at", [0, 20, 32, 40, -1])
def test_a_changed_byte_is_never_used(folder: Path, at: int) -> None:
    cache = Cache("things")
    cache.put(b"one", b"a grammar, say")
    data = bytearray(only_file(folder).read_bytes())
    data[at] ^= 1
    only_file(folder).write_bytes(data)
    assert cache.get(b"one") is None
    cache.put(b"one", b"made again")
    assert cache.get(b"one") == b"made again"


@pytest.mark.parametrize("size", [0, 10, 32, 40])
def test_a_file_cut_short_is_never_used(folder: Path, size: int) -> None:
    cache = Cache("things")
    cache.put(b"one", b"a grammar, say")
    os.truncate(only_file(folder), size)
    assert cache.get(b"one") is None


def test_a_folder_or_a_pipe_in_its_place_does_no_harm(folder: Path) -> None:
    cache = Cache("things")
    cache.put(b"one", b"first")
    path = only_file(folder)
    path.unlink()
    path.mkdir()
    cache.put(b"one", b"first")
    assert cache.get(b"one") is None
    path.rmdir()
    if hasattr(os, "mkfifo"):
        os.mkfifo(path)
        assert cache.get(b"one") is None


def test_no_folder_and_no_room_are_no_fault(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder.parent.mkdir()
    folder.write_text("in the way")
    cache = Cache("things")
    cache.put(b"one", b"first")
    assert cache.get(b"one") is None
    folder.unlink()

    def full(descriptor: int, *_: object) -> None:
        os.close(descriptor)
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("builtins.open", full)
    cache.put(b"one", b"first")
    monkeypatch.undo()
    assert cache.get(b"one") is None
    assert not list(folder.iterdir()), "nothing half written stays"


def test_what_was_not_used_for_longest_makes_room(folder: Path) -> None:
    cache = Cache("things", most=400)
    for number, key in enumerate((b"one", b"two", b"three")):
        cache.put(key, bytes(80))
        os.utime(cache._path(folder, key), (number, number))
    assert cache.get(b"one") is not None
    cache.put(b"four", bytes(80))
    assert [key for key in (b"one", b"two", b"three", b"four") if cache.get(key)] == [
        b"one",
        b"three",
        b"four",
    ]
    cache.put(b"five", bytes(500))
    assert cache.get(b"five") is None, "larger than all there is room for"
    assert cache.get(b"one") is not None


def test_a_grammar_is_compiled_once_for_all_that_is_said_alike(folder: Path) -> None:
    words = {word: number for number, word in enumerate(sorted(vocabulary(lexicon())), 1)}
    made = 0

    def compiled() -> bytes:
        nonlocal made
        made += 1
        return grammar_fst(plain_automaton(ANGLE, lexicon()), words, Costs(), None)

    first = GrammarStore().compiled(ANGLE, b"model", compiled)
    assert GrammarStore().compiled(ANGLE, b"model", compiled) == first == compiled()
    alike = Expectation(Kind.ANGLE, Fraction(5), Fraction(80), commands=ANGLE.commands, asks="angle")
    GrammarStore().compiled(alike, b"model", compiled)
    assert made == 2, "once, and once in this test"
    GrammarStore().compiled(ANGLE, b"another model", compiled)
    GrammarStore().compiled(Expectation(Kind.YESNO), b"model", compiled)
    assert made == 4


def test_other_phrases_make_another_grammar(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert GrammarStore().compiled(ANGLE, b"", lambda: b"old") == b"old"
    shared = folder.parent / "shared"
    shared.mkdir(parents=True)
    for name in ("phrases.toml", "places.toml", "glossary.toml"):
        (shared / name).write_text("# other phrases")
    monkeypatch.setattr("bench.ears.grammar_store.shared", lambda: shared)
    assert GrammarStore().compiled(ANGLE, b"", lambda: b"new") == b"new"
    (shared / "places.toml").unlink()
    assert GrammarStore().compiled(ANGLE, b"", lambda: b"newer") == b"newer", "not known, so not stored"
