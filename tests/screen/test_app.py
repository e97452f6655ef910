"""The running screen: keys, taps, lessons, threads, and what it does before it is up and after it is gone."""

from __future__ import annotations

import os
import pty
import select
import signal
import sys
import threading
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

import pytest
from textual.pilot import Pilot

from bench.dialogue.effects import Look
from bench.dialogue.events import Event, Key, Pressed, Said
from bench.language.meaning import typed
from bench.screen import app as application
from bench.screen.app import BenchApp, poor_terminal
from bench.screen.canvas import Canvas
from bench.screen.keys import Held
from bench.screen.targets import Own
from bench.screen.themes import Role, ThemeName, Worn, palette
from tests.screen.pictures import LIVE, SIZES, kept, trimmed
from tests.screen.views import ASKING, CHOOSING, CONFIRMING, MARKING, VIEWS


@dataclass
class Bench:
    """A screen on trial and what came out of it."""

    events: list[Event] = field(default_factory=list)
    learned: list[tuple[str, Key]] = field(default_factory=list)
    kept: list[Mapping[str, object]] = field(default_factory=list)

    def app(self, theme: str = "dark", held: float = 0.0, keys: dict[str, Key] | None = None) -> BenchApp:
        def learned(name: str, key: Key) -> None:
            self.learned.append((name, key))

        return BenchApp(
            self.events.append,
            Worn(theme),
            keys,
            learned,
            self.kept.append,
            plain_only=False,
            held_seconds=held,
        )

    def pressed(self) -> list[Key]:
        return [event.key for event in self.events if isinstance(event, Pressed)]


def text(app: BenchApp) -> str:
    canvas = app.query_one(Canvas)
    return trimmed([canvas.render_line(row).text for row in range(canvas.size.height)])


async def until(pilot: Pilot[None], app: BenchApp, words: str) -> None:
    """Wait for words to come up; a test's own time limit ends it."""
    while words not in text(app):
        await pilot.pause(0.02)


@pytest.fixture
def bench() -> Bench:
    return Bench()


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("theme", ThemeName)
async def test_every_view_in_every_theme_is_the_kept_screen(
    bench: Bench, theme: ThemeName, size: tuple[int, int]
) -> None:
    """The text is that of the golden files, and every cell wears a pair of colors of the theme."""
    pairs = set(palette(theme).pairs().values())
    app = bench.app(theme)
    async with app.run_test(size=size) as pilot:
        canvas = app.query_one(Canvas)
        for name, view in VIEWS.items():
            app.show(view)
            await until(pilot, app, view.title)
            canvas.put(view, LIVE)
            assert text(app) == kept(name, size).read_text(encoding="utf-8"), name
            for row in range(size[1]):
                for segment in canvas.render_line(row):
                    assert segment.style is not None
                    ink, paper = segment.style.color, segment.style.bgcolor
                    assert ink is not None
                    assert paper is not None
                    assert (ink.name, paper.name) in pairs


@pytest.mark.parametrize(
    ("key", "meaning"),
    [
        *((key, Key.NEXT) for key in ("space", "pagedown", "right", "down", "enter")),
        *((key, Key.BACK) for key in ("pageup", "left", "up", "backspace")),
        ("y", Key.YES),
        ("n", Key.NO),
        ("r", Key.REPEAT),
        ("p", Key.PAUSE),
        ("h", Key.HELP),
        ("question_mark", Key.HELP),
    ],
)
async def test_a_key_gives_its_event(key: str, meaning: Key, bench: Bench) -> None:
    app = bench.app()
    async with app.run_test() as pilot:
        await pilot.press(key)
    assert bench.pressed() == [meaning]


@pytest.mark.parametrize("key", ["z", "1", "f5", "tab"])
async def test_any_other_key_is_nothing(key: str, bench: Bench) -> None:
    app = bench.app()
    async with app.run_test() as pilot:
        await pilot.press(key)
    assert bench.events == []


async def test_a_pedal_held_down_steps_once(bench: Bench) -> None:
    app = bench.app(held=60.0)
    async with app.run_test() as pilot:
        await pilot.press(*["space"] * 20)
        await pilot.press("left")
    assert bench.pressed() == [Key.NEXT, Key.BACK]


def test_a_held_key_stays_held_as_long_as_it_repeats() -> None:
    """X11 repeats after 660 ms at 25 a second as delivered (xset r rate's defaults, from memory)."""
    held = Held(0.7)
    assert not held.repeats("space", 0.0)
    assert all(held.repeats("space", 0.66 + 0.04 * count) for count in range(100))
    assert not held.repeats("left", 1.0)
    assert not held.repeats("space", 6.0)


async def test_quit_asks_once_and_then_goes(bench: Bench) -> None:
    app = bench.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("q")
        await until(pilot, app, "Press q again to leave.")
        assert bench.events == []
        await pilot.press("q")
        assert bench.pressed() == [Key.QUIT]


async def test_control_c_and_control_q_ask_too(bench: Bench) -> None:
    app = bench.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+c")
        await until(pilot, app, "Press q again to leave.")
        await pilot.press("ctrl+q")
        assert bench.pressed() == [Key.QUIT]
        assert app.is_running


async def test_an_unanswered_quit_closes_by_itself(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(application, "CLOSE_SECONDS", 0.05)
    app = bench.app()
    async with app.run_test() as pilot:
        await pilot.press("q", "q")
        while app.is_running:
            await pilot.pause(0.02)
    assert bench.pressed() == [Key.QUIT]


async def test_an_unknown_key_says_how_to_teach_it(bench: Bench) -> None:
    app = bench.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("f13")
        await until(pilot, app, "f13 does nothing yet. Press l to teach")
    assert bench.events == []


async def test_a_pedal_is_taught_and_works_at_once(bench: Bench) -> None:
    app = bench.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("l")
        await until(pilot, app, "for NEXT")
        await pilot.press("f13")
        await until(pilot, app, "for BACK")
        await pilot.press("escape", "b", "escape")
        await until(pilot, app, "SAY" if app._view.say else "MIC")
        await pilot.press("f13", "b")
    assert bench.learned == [("f13", Key.NEXT), ("b", Key.REPEAT)]
    assert bench.pressed() == [Key.NEXT, Key.REPEAT]


async def test_keys_taught_before_win_over_the_usual_ones(bench: Bench) -> None:
    app = bench.app(keys={"pageup": Key.NEXT})
    async with app.run_test() as pilot:
        await pilot.press("pageup")
    assert bench.pressed() == [Key.NEXT]


async def test_the_ways_out_cannot_be_taught_away(bench: Bench) -> None:
    app = bench.app()
    async with app.run_test() as pilot:
        app.learn((Key.NEXT,))
        await pilot.pause()
        await pilot.press("escape")
        await pilot.press("space")
    assert bench.learned == []
    assert bench.pressed() == [Key.NEXT]


async def test_a_typed_line_is_what_the_person_says(bench: Bench) -> None:
    app = bench.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"27 3", "slash", *"85", "backspace")
        await until(pilot, app, "TYPE  27 3/8")
        await pilot.press("enter")
        await pilot.press("colon", *"undo", "enter")
        await pilot.press("4", "escape", "space")
    heard = [event.heard.text for event in bench.events if isinstance(event, Said)]
    assert heard == ["27 3/8", "undo"]
    assert bench.pressed() == [Key.NEXT]


async def test_a_tap_anywhere_is_next_and_on_a_bar_is_its_key(bench: Bench) -> None:
    app = bench.app()
    app.show(CONFIRMING)
    async with app.run_test(size=(120, 40)) as pilot:
        await until(pilot, app, CONFIRMING.title)
        await pilot.click(Canvas, offset=(60, 12))
        for column in (5, 30, 70, 110):
            await pilot.click(Canvas, offset=(column, 38))
    assert bench.pressed() == [Key.NEXT, Key.BACK, Key.REPEAT, Key.NO, Key.YES]


async def test_a_choice_is_said_by_its_tile_and_by_its_digit(bench: Bench) -> None:
    app = bench.app()
    app.show(CHOOSING)
    async with app.run_test(size=(120, 40)) as pilot:
        await until(pilot, app, CHOOSING.title)
        tile = next(t for t in app.query_one(Canvas).page.targets if t.act == "new stick")
        await pilot.click(Canvas, offset=(tile.left + 9, tile.bottom - 1))
        await pilot.press("2")
    assert bench.events == [Said(typed("new stick")), Said(typed("add a bend"))]


async def test_further_tiles_come_by_a_tap_and_their_digits_work_at_once(bench: Bench) -> None:
    app = bench.app()
    app.show(ASKING)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, app, ASKING.title)
        await pilot.press("6")
        more = next(t for t in app.query_one(Canvas).page.targets if t.act is Own.MORE)
        await pilot.click(Canvas, offset=(more.left + 9, more.top + 1))
        canvas = app.query_one(Canvas)
        tile = next(t for t in canvas.page.targets if t.act == ASKING.choices[4])
        await pilot.click(Canvas, offset=(tile.left + 9, tile.top + 1))
        app.show(MARKING)
        await until(pilot, app, MARKING.title)
    assert bench.events == [Said(typed(ASKING.choices[5])), Said(typed(ASKING.choices[4]))]


async def test_the_menu_is_opened_by_tap_and_key_and_says_what_is_chosen(bench: Bench) -> None:
    app = bench.app()
    app.show(MARKING)
    async with app.run_test(size=(120, 40)) as pilot:
        await until(pilot, app, MARKING.title)
        bar = next(t for t in app.query_one(Canvas).page.targets if t.act is Own.MENU)
        await pilot.click(Canvas, offset=(bar.left + 3, bar.bottom - 1))
        await until(pilot, app, "Tap it, press its number")
        tile = next(t for t in app.query_one(Canvas).page.targets if t.act == "undo")
        await pilot.click(Canvas, offset=(tile.left + 5, tile.top + 1))
        await until(pilot, app, "TAPE END")
        await pilot.press("m", "3")
        await pilot.press("m", "escape")
        await until(pilot, app, "TAPE END")
    assert bench.events == [Said(typed(MARKING.phrases[5])), Said(typed(MARKING.phrases[2]))]


async def test_what_was_heard_fades(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(application, "OLD_SECONDS", 0.2)
    app = bench.app()
    app.show(MARKING)
    async with app.run_test(size=(100, 30)) as pilot:
        await until(pilot, app, "HEARD")

        def ink() -> str:
            canvas = app.query_one(Canvas)
            row = canvas.render_line(canvas.page.ears)
            (span,) = [span for span in row if MARKING.heard in span.text]
            assert span.style is not None
            assert span.style.color is not None
            return span.style.color.name

        assert ink() == palette("dark")[Role.TEXT][0]
        while ink() != palette("dark")[Role.QUIET][0]:
            await pilot.pause(0.05)


async def test_a_bouncing_glove_taps_once(bench: Bench) -> None:
    app = bench.app(held=60.0)
    async with app.run_test(size=(80, 24)) as pilot:
        for _ in range(3):
            await pilot.click(Canvas, offset=(40, 8))
    assert bench.pressed() == [Key.NEXT]


async def test_what_was_told_before_the_screen_is_up_is_shown(bench: Bench) -> None:
    app = bench.app()
    app.show(CONFIRMING)
    app.show(MARKING)
    app.hearing("twenty seven")
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, app, "Mark two, the center")
        assert "YES" not in text(app)


async def test_telling_a_screen_that_is_gone_does_no_harm(bench: Bench) -> None:
    app = bench.app()
    async with app.run_test():
        pass
    app.show(MARKING)
    app.level(-30.0, -50.0)
    app.hearing("next")
    app.learn()
    app.leave()


async def test_leaving_before_the_screen_is_up_closes_it(bench: Bench) -> None:
    app = bench.app()
    app.leave()
    async with app.run_test() as pilot:
        while app.is_running:
            await pilot.pause(0.02)


async def test_a_flood_from_other_threads_neither_stalls_nor_is_lost(bench: Bench) -> None:
    """The last of each kind is what stays, and the meter's own pace bounds the painting."""
    app = bench.app()
    painted = 0
    async with app.run_test(size=(80, 24)) as pilot:
        canvas = app.query_one(Canvas)
        put = canvas.put

        def counting(*args: object) -> None:
            nonlocal painted
            painted += 1
            put(*args)  # type: ignore[arg-type]

        canvas.put = counting  # type: ignore[method-assign,assignment]

        def flood() -> None:
            for count in range(2000):
                app.level(-60 + count % 60, -50.0)

        threads = [threading.Thread(target=flood) for _ in range(4)]
        began = time.monotonic()
        for thread in threads:
            thread.start()
        while any(thread.is_alive() for thread in threads):
            await pilot.pause(0.02)
        app.level(-13.0, -50.0)
        app.show(MARKING)
        await until(pilot, app, "-13 dB")
        await until(pilot, app, "Mark two, the center")
        beats = (time.monotonic() - began) / application.METER_SECONDS
    assert painted <= beats + 5


async def test_the_meter_says_when_sound_stops(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(application, "DEAF_SECONDS", 0.3)
    app = bench.app()
    async with app.run_test(size=(80, 24)) as pilot:
        app.level(-20.0, -50.0)
        await until(pilot, app, "-20 dB")
        await until(pilot, app, "no sound arriving")


async def test_words_being_heard_go_when_the_next_view_comes(bench: Bench) -> None:
    app = bench.app()
    app.show(MARKING)
    async with app.run_test(size=(80, 24)) as pilot:
        app.hearing("twenty seven")
        await until(pilot, app, "HEARING twenty seven")
        app.show(replace(MARKING, heard="twenty seven"))
        await until(pilot, app, "HEARD “twenty seven”")


async def test_a_new_size_is_shared_out_again(bench: Bench) -> None:
    app = bench.app()
    app.show(MARKING)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, app, MARKING.title)
        await pilot.resize_terminal(30, 8)
        await until(pilot, app, "Too small: 30 by 8")
        await pilot.resize_terminal(160, 50)
        await until(pilot, app, "TAPE END")


async def test_colors_change_by_key_and_are_told(bench: Bench) -> None:
    app = bench.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("t")
        await until(pilot, app, "Colors: light.")
        canvas = app.query_one(Canvas)
        paper = next(iter(canvas.render_line(2))).style
        assert paper is not None
        assert paper.bgcolor is not None
        assert paper.bgcolor.name == palette("light")[Role.PAGE][1]
    assert bench.kept == [{"theme": "light"}]


async def test_colors_and_letters_change_when_told_from_another_thread_and_are_kept(bench: Bench) -> None:
    app = bench.app()
    async with app.run_test(size=(100, 30)) as pilot:
        app.show(MARKING)
        await until(pilot, app, "TAPE END")
        app.restyle(Look.SUNLIGHT)
        await until(pilot, app, "Colors: sunlight.")
        app.restyle(Look.BIGGER)
        await until(pilot, app, "Letters: larger.")
        assert "TAPE END" not in text(app), "room for the number"
        await pilot.press("s", "s", "s")
        await until(pilot, app, "Letters: smaller.")
    assert bench.kept == [{"theme": "sunlight"}, *({"letters": size} for size in (1, 0, -1, -1))]


@pytest.mark.parametrize(
    ("environ", "poor"),
    [
        ({"TERM": "xterm-256color", "LANG": "en_US.UTF-8"}, False),
        ({"TERM": "xterm-256color"}, False),
        ({"TERM": "linux", "LANG": "en_US.UTF-8"}, True),
        ({"TERM": "xterm", "LC_ALL": "de_DE.ISO-8859-1", "LANG": "de_DE.UTF-8"}, True),
    ],
)
def test_poor_terminals_are_known_by_type_and_encoding(environ: dict[str, str], poor: bool) -> None:
    assert poor_terminal(environ) is poor


# A real terminal

PROGRAM = """
import sys
from bench.screen.app import BenchApp
from bench.dialogue.events import Key, Pressed
from tests.screen.views import MARKING
def act(event):
    if event == Pressed(Key.QUIT):
        app.leave()
app = BenchApp(act, plain_only=False, held_seconds=0)
app.show(MARKING)
app.run()
print("gone")
"""


@pytest.fixture
def terminal() -> Iterator[tuple[int, int]]:
    """The screen in a process of its own on a pseudo-terminal of 80 by 24."""
    pid, descriptor = pty.fork()
    if not pid:
        size = {"COLUMNS": "80", "LINES": "24", "TERM": "xterm-256color", "PYTHONPATH": os.getcwd()}
        os.execve(sys.executable, [sys.executable, "-c", PROGRAM], {**os.environ, **size})
    try:
        yield pid, descriptor
    finally:
        try:
            os.kill(pid, signal.SIGKILL)
            os.waitpid(pid, 0)
        except (ProcessLookupError, ChildProcessError):
            pass
        os.close(descriptor)


def read_until(descriptor: int, words: str) -> str:
    """What the terminal was sent, until it holds these words; a test's own time limit ends it."""
    sent = b""
    while words.encode() not in sent:
        ready, _, _ = select.select([descriptor], [], [], 0.2)
        if ready:
            try:
                sent += os.read(descriptor, 65536)
            except OSError:
                break
    return sent.decode(errors="replace")


def test_on_a_real_terminal_it_draws_asks_and_leaves_cleanly(terminal: tuple[int, int]) -> None:
    pid, descriptor = terminal
    assert "███" in read_until(descriptor, "TAPE END")
    os.write(descriptor, b"q")
    read_until(descriptor, "again to leave")
    os.write(descriptor, b"q")
    # Back from the alternate screen (xterm control sequences, mode 1049).
    assert "\x1b[?1049l" in read_until(descriptor, "gone")
    _, status = os.waitpid(pid, 0)
    assert os.waitstatus_to_exitcode(status) == 0
