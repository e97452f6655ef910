"""The screen in a browser: who is answered, that nothing is fetched from elsewhere, and taps in a real browser."""

from __future__ import annotations

import io
import json
import os
import re
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from bench.core.notes import BenchError
from bench.screen.browser import announce, serve, served
from bench.screen.page import paint
from tests.screen.test_legible_steps import views

if TYPE_CHECKING:
    from selenium.webdriver.chrome.webdriver import WebDriver

pytest.importorskip("textual_serve", reason="textual-serve is not installed: pip install 'bench[serve]'")

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
DRIVER = shutil.which("chromedriver")
in_chromium = pytest.mark.skipif(
    not (CHROMIUM and DRIVER),
    reason="no Chromium with its driver (Debian: apt install chromium chromium-driver)",
)


def free_port() -> int:
    with closing(socket.socket()) as taken:
        taken.bind(("127.0.0.1", 0))
        return int(taken.getsockname()[1])


@contextmanager
def running(folder: Path, *options: str) -> Iterator[tuple[str, int, int]]:
    """`bench serve` with no sound, on a job folder of its own; its printed address, its port and its process."""
    port = free_port()
    command = [sys.executable, "-u", "-m", "bench", "serve", "--port", str(port), *options]
    own = ["--", "--data", str(folder), "--ear", "none", "--quiet"]
    program = subprocess.Popen([*command, *own], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    assert program.stdout is not None
    try:
        address = next(line.split()[1] for line in program.stdout if line.startswith("Open "))
        until(lambda: answers(address), 30)
        yield address, port, program.pid
    finally:
        program.terminate()
        program.wait(10)
        program.stdout.close()


def answers(address: str) -> bool:
    try:
        return status(address) > 0
    except (urllib.error.URLError, ConnectionError):
        return False


def until(holds: Callable[[], bool], seconds: float) -> None:
    """Wait until a function holds; fails when it does not in that time."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if holds():
            return
        time.sleep(0.1)
    pytest.fail(f"not within {seconds} s")


class _Stays(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *args: object, **kwargs: object) -> None:
        return None


def status(address: str, **headers: str) -> int:
    """The status of the answer, redirects not followed."""
    request = urllib.request.Request(address, headers={k.replace("_", "-"): v for k, v in headers.items()})
    try:
        with urllib.request.build_opener(_Stays).open(request, timeout=10) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as error:
        return error.code


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with running(tmp_path_factory.mktemp("here")) as (address, _, _):
        yield address


@pytest.fixture(scope="module")
def abroad(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, int]]:
    """Served to the network this machine is in; asked over the loopback."""
    with running(tmp_path_factory.mktemp("abroad"), "--host", "0.0.0.0") as (address, port, _):
        yield address, port


def test_this_machine_alone_needs_no_token(here: str) -> None:
    assert "token" not in here
    assert status(here) == 200


def test_another_name_for_this_machine_is_refused(here: str) -> None:
    """What a page elsewhere does by letting its own name point here (DNS rebinding)."""
    assert status(here, Host="evil.example") == 403
    assert status(here, Host=f"evil.example:{here.split(':')[2].strip('/')}") == 403


def test_another_page_cannot_drive_the_screen(here: str) -> None:
    upgrade = {"Upgrade": "websocket", "Connection": "Upgrade", "Sec_WebSocket_Version": "13"}
    upgrade |= {"Sec_WebSocket_Key": "dGhlIHNhbXBsZSBub25jZQ=="}
    assert status(f"{here}ws", **upgrade, Origin="http://evil.example") == 403
    assert status(f"{here}ws", **upgrade) == 403
    assert status(here, Origin="http://evil.example") == 403


def test_off_this_machine_a_token_is_asked_for(abroad: tuple[str, int]) -> None:
    address, port = abroad
    token = address.partition("?token=")[2]
    assert len(token) >= 20
    local = f"http://127.0.0.1:{port}/"
    assert status(local) == 403
    assert status(f"{local}?token=wrong") == 403
    assert status(f"{local}static/js/textual.js") == 403
    assert status(f"{local}?token={token}") == 302
    assert status(local, Cookie=f"bench={token}") == 200


def test_the_page_names_no_other_server(here: str) -> None:
    with urllib.request.urlopen(here, timeout=10) as answer:
        page, policy = answer.read().decode(), answer.headers["Content-Security-Policy"]
    own = here.removeprefix("http://").strip("/")
    assert set(re.findall(r"(?:https?|wss?)://([^/\"' ]+)", page)) <= {own}
    assert "default-src 'self'" in policy


def test_the_code_on_the_terminal_leads_to_the_address() -> None:
    where = served("127.0.0.1", 8000)
    out = io.StringIO()
    announce(where, True, out)
    drawn, _, words = out.getvalue().partition("Open ")
    assert words.startswith(where.url)
    assert len(drawn.splitlines()) >= 10


def test_a_port_that_is_taken_is_told() -> None:
    with closing(socket.socket()) as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = int(taken.getsockname()[1])
        with pytest.raises(BenchError) as told:
            serve(served("127.0.0.1", port), ())
    assert "--port" in told.value.remedy.template


def test_without_a_terminal_it_paints_for_the_browser(tmp_path: Path) -> None:
    """`__GANGLION__` is the line by which textual-serve knows that a Textual program paints, not a plain one."""
    driver = {"TEXTUAL_DRIVER": "textual.drivers.web_driver:WebDriver", "COLUMNS": "100", "ROWS": "30"}
    program = subprocess.Popen(
        [sys.executable, "-m", "bench", "--data", str(tmp_path)],
        env=os.environ | driver,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )
    assert program.stdout is not None
    try:
        assert program.stdout.readline() == b"__GANGLION__\n"
        assert b"PIPE" not in program.stdout.read(200)  # block letters, not words
    finally:
        program.kill()
        program.communicate()


@contextmanager
def chromium(width: int, height: int) -> Iterator[WebDriver]:
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    options = webdriver.ChromeOptions()
    assert CHROMIUM
    assert DRIVER
    options.binary_location = CHROMIUM
    for argument in (
        "--headless=new",
        "--no-sandbox",
        "--disable-dev-shm-usage",
        "--disable-background-networking",
        f"--window-size={width},{height}",
    ):
        options.add_argument(argument)
    options.set_capability("goog:loggingPrefs", {"performance": "ALL"})
    browser = webdriver.Chrome(options=options, service=Service(DRIVER))
    try:
        yield browser
    finally:
        browser.quit()


def heard(folder: Path) -> list[str]:
    """The words taken so far, from the job file."""
    with closing(sqlite3.connect(f"file:{folder / 'jobs.db'}?mode=ro", uri=True)) as kept:
        rows = kept.execute("SELECT detail FROM records WHERE kind = 'heard' ORDER BY seq").fetchall()
    return [str(json.loads(detail)["words"]) for (detail,) in rows]


def descendants(process: int) -> list[int]:
    """The processes that a process started, and those they did."""
    stats = [path.read_text() for path in Path("/proc").glob("[0-9]*/stat")]
    parents = {int(stat.split()[0]): int(stat.rpartition(")")[2].split()[1]) for stat in stats}
    found = [child for child, parent in parents.items() if parent == process]
    return [*found, *(below for child in found for below in descendants(child))]


def painted(browser: WebDriver) -> bool:
    return bool(browser.execute_script("return document.body.classList.contains('-first-byte')"))


def traffic(browser: WebDriver, kind: str) -> list[dict[str, Any]]:
    """What went over the network since it was asked last, of one kind."""
    events = [json.loads(entry["message"])["message"] for entry in browser.get_log("performance")]  # type: ignore[no-untyped-call]
    return [event["params"] for event in events if event["method"] == kind]


def tap(browser: WebDriver, across: float, down: float) -> None:
    """A finger on the page, at parts of its width and height."""
    size = browser.execute_script("return [innerWidth, innerHeight]")
    at = {"x": size[0] * across, "y": size[1] * down}
    for kind in ("mousePressed", "mouseReleased"):
        event = {"type": kind, **at, "button": "left", "clickCount": 1}
        browser.execute_cdp_cmd("Input.dispatchMouseEvent", event)


def place(phrase: str, size: tuple[int, int]) -> tuple[float, float]:
    """Where a tile of the first question is, as parts of the screen's width and height."""
    first = next(view for view in views([])[:1])
    target = next(target for target in paint(first, *size).targets if target.act == phrase)
    return (target.left + target.right) / 2 / size[0], (target.top + target.bottom) / 2 / size[1]


def a_second_page_says_that_it_is_open_elsewhere(browser: WebDriver, address: str) -> None:
    first = browser.current_window_handle
    browser.switch_to.new_window("window")
    browser.get(address)
    until(lambda: "open on another page" in browser.find_element("id", "told").text, 40)
    browser.close()
    browser.switch_to.window(first)
    assert painted(browser)


@in_chromium
@pytest.mark.timeout(240)
def test_tap_size_and_reconnect_in_a_real_browser(tmp_path: Path) -> None:
    with running(tmp_path) as (address, _, server), chromium(1000, 700) as browser:
        browser.get(address)
        until(lambda: painted(browser), 40)
        opened = traffic(browser, "Network.webSocketCreated")
        (width, height) = map(int, re.findall(r"=(\d+)", opened[-1]["url"]))
        assert width > 60
        assert height > 20
        time.sleep(1.0)

        def answered() -> bool:
            """A tap; on the cards of a first start's lesson it goes on to the next."""
            tap(browser, *place("rigid", (width, height)))
            time.sleep(1.0)
            return heard(tmp_path) == ["rigid"]

        until(answered, 40)

        traffic(browser, "Network.webSocketFrameSent")
        browser.set_window_size(420, 800)
        sent: list[str] = []

        def resized() -> bool:
            sent.extend(f["response"]["payloadData"] for f in traffic(browser, "Network.webSocketFrameSent"))
            return any('"resize"' in payload for payload in sent)

        until(resized, 20)
        narrow = json.loads([payload for payload in sent if '"resize"' in payload][-1])[1]
        assert narrow["width"] < 60 < narrow["height"] * 2

        a_second_page_says_that_it_is_open_elsewhere(browser, address)
        seen = [request["request"]["url"] for request in traffic(browser, "Network.requestWillBeSent")]
        for child in descendants(server):
            os.kill(child, signal.SIGKILL)
        until(lambda: bool(traffic(browser, "Network.webSocketCreated")), 30)
        until(lambda: painted(browser), 40)
        seen += [request["request"]["url"] for request in traffic(browser, "Network.requestWillBeSent")]
        assert all(url.startswith((address, "data:")) for url in seen)
        assert heard(tmp_path) == ["rigid"], "what was answered is kept over the reconnection"
