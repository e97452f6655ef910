"""What was learned of benders: kept with its evidence and history, digest-checked, put back, never lost quietly."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from fractions import Fraction as F
from pathlib import Path

import pytest

from bench.cli import main
from bench.core.learned import MOST_BENDS, Evidence
from bench.core.notes import BenchError
from bench.job.learning import Learning, base_name, is_learned, learned_name, learning_of, with_learning
from bench.job.model import Profile, Tools
from bench.memory.benders import BenderFile
from bench.memory.learned import LearnedFile

MONDAY, TUESDAY = datetime(2026, 3, 2, 9, 30, tzinfo=UTC), datetime(2026, 3, 3, 9, 30, tzinfo=UTC)
LEARNED = Profile("learned", "emt", "3/4", F(97, 16), F("2.875"), 2.0, hand=0.5)


def evidence(number: int, mended: bool = False) -> Evidence:
    upper = (40.0, 0.0, 0.0, 0.0, 9.0, 0.0, 0.0, 0.4, -0.4, 0.4)
    return Evidence(("1", str(number), "1", "0"), upper, (243.0, 40.0, 0.8, -0.8), mended)


def learning(*bends: int) -> Learning:
    return Learning("typical", "emt", "3/4", tuple(evidence(number) for number in bends))


def test_it_is_kept_with_when_each_bend_was_read(tmp_path: Path) -> None:
    file = LearnedFile(tmp_path)
    assert file.all() == ()
    file.keep(learning(1, 2), MONDAY)
    file.keep(learning(1, 2, 3), TUESDAY)
    (kept,) = file.all()
    assert kept.learning == learning(1, 2, 3)
    assert [at[:10] for at in kept.read_at] == ["2026-03-02", "2026-03-02", "2026-03-03"]
    assert (tmp_path / "learned.json").stat().st_mode & 0o077 == 0


def test_each_bender_and_conduit_is_its_own(tmp_path: Path) -> None:
    file = LearnedFile(tmp_path)
    file.keep(learning(1), MONDAY)
    file.keep(Learning("typical", "emt", "1", (evidence(2),)), MONDAY)
    assert {kept.learning.size for kept in file.all()} == {"3/4", "1"}
    assert file.forget(("typical", "emt", "1"))
    assert [kept.learning for kept in file.all()] == [learning(1)]
    assert not file.forget(("typical", "emt", "1"))


def test_a_changed_file_is_not_used_and_is_set_aside(tmp_path: Path) -> None:
    file = LearnedFile(tmp_path)
    file.keep(learning(1), MONDAY)
    raw = json.loads(file.path.read_text())
    raw["learned"][0]["learning"]["evidence"][0]["pull"][0] = 999.0
    file.path.write_text(json.dumps(raw))
    with pytest.raises(BenchError) as caught:
        file.all()
    assert caught.value.code == "learned_damaged"
    file.keep(learning(2), MONDAY)
    assert [kept.learning for kept in file.all()] == [learning(2)]
    assert (tmp_path / "learned.damaged-1.json").exists()


def test_a_bend_read_anew_counts_once_and_old_ones_are_let_go() -> None:
    known = learning(1, 2).with_(evidence(1)).with_(evidence(1, mended=True))
    assert known.bends == 2
    assert len(known.evidence) == 3
    for number in range(10, 10 + MOST_BENDS):
        known = known.with_(evidence(number))
    assert known.bends == MOST_BENDS
    assert not any(one.bend[1] in ("1", "2") for one in known.evidence)


def test_names_lead_back_to_the_bender_they_came_from() -> None:
    own = Profile("your own", "emt", "3/4", F(6), F("2.875"))
    assert base_name(None) == base_name(LEARNED) == "typical"
    for profile in (None, own):
        name = learned_name(base_name(profile))
        learned = Profile(name, "emt", "3/4", F(6), F("2.875"))
        assert is_learned(learned)
        assert base_name(learned) == base_name(profile)
    assert not is_learned(own)
    assert not is_learned(None)
    known = with_learning((), learning(1))
    assert learning_of(known, Tools("emt", "3/4", LEARNED)) == learning(1)
    assert learning_of(known, Tools("emt", "3/4", own)).evidence == ()


def test_the_command_tells_and_puts_back(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    taken = Learning("typical", "emt", "3/4", learning(1, 2).evidence, 2, (LEARNED,))
    LearnedFile(tmp_path).keep(taken, MONDAY)
    BenderFile(tmp_path).keep(LEARNED)
    folder = ["--data", str(tmp_path)]
    assert main(["bender", "learned", *folder]) == 0
    told = capsys.readouterr().out
    assert "2 bends checked, 2026-03-02" in told
    assert "accepted 2026-03-02: take-up 6 1/16" in told
    assert main(["bender", "learned", "--json", *folder]) == 0
    row = json.loads(capsys.readouterr().out)
    assert row["bends"] == 2
    assert row["taken"][0]["take_up"] == 6.0625
    assert main(["bender", "back", "--size", "3/4", *folder]) == 0
    assert BenderFile(tmp_path).all() == ()
    assert LearnedFile(tmp_path).all()
    assert main(["bender", "back", "--size", "3/4", *folder]) == 2
