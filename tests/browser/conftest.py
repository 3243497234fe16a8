"""A real server on a free port, a real Chromium, and a page that tells of every fault it met."""

from __future__ import annotations

import os
import re
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright
from playwright.sync_api import Error as DriverError

from pulsewright.web import create_app
from pulsewright.workbench import Bench, new_bench, open_bench

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
WIDE = {"width": 1440, "height": 1000}
#: Longest wait for anything, in ms; a loaded machine is slow, not wrong.
PATIENCE = 60_000
expect.set_options(timeout=PATIENCE)
#: How many times slower the page's own thread is made, to find waits that only hold on a quick machine.
SLOWER = float(os.environ.get("BROWSER_SLOWER", "1"))


@dataclass
class Served:
    """A running server and its bench."""

    bench: Bench
    address: str
    app: Any

    @property
    def file(self) -> Path:
        return self.bench.file


@dataclass
class Told:
    """What a page complained of, and whom it asked."""

    faults: list[str] = field(default_factory=list)
    outside: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)


OpenPage = Callable[..., Page]


@contextmanager
def running(bench: Bench) -> Iterator[Served]:
    """A server of a bench for as long as the block lasts."""
    listening = socket.create_server(("127.0.0.1", 0))
    app = create_app(bench)
    server = uvicorn.Server(uvicorn.Config(app, log_level="error", access_log=False, timeout_graceful_shutdown=2))
    ready = threading.Event()
    thread = threading.Thread(target=_run, args=(server, listening, ready), daemon=True)
    thread.start()
    assert ready.wait(30)
    yield Served(bench, f"http://127.0.0.1:{listening.getsockname()[1]}", app)
    server.should_exit = True
    thread.join(20)
    listening.close()
    assert not thread.is_alive()


def _run(server: uvicorn.Server, listening: socket.socket, ready: threading.Event) -> None:
    begin = server.startup

    async def startup(sockets: list[socket.socket] | None = None) -> None:
        await begin(sockets)
        ready.set()

    server.startup = startup  # type: ignore[method-assign]
    server.run(sockets=[listening])


@pytest.fixture(scope="session", autouse=True)
def _compiled(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Compile what a shot needs once, so that no page waits for it."""
    bench = open_bench(new_bench(tmp_path_factory.mktemp("compiled") / "tidewater", "tidewater"))
    bench.shot(interval=False)
    bench.lamp_law()


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    """A fresh tidewater, for tests that write or that hold its work."""
    return open_bench(new_bench(tmp_path / "tidewater", "tidewater"))


@pytest.fixture
def own(bench: Bench) -> Iterator[Served]:
    """A server of that fresh tidewater."""
    with running(bench) as served:
        yield served


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One server for every test that only reads."""
    with running(open_bench(new_bench(tmp_path_factory.mktemp("shared") / "tidewater", "tidewater"))) as served:
        yield served


@pytest.fixture
def served(shared: Served) -> Served:
    """The server of a test; a class of tests that write puts its own in this place."""
    return shared


@pytest.fixture(scope="session")
def browser(chromium_path: str) -> Iterator[Browser]:
    """One Chromium for all tests."""
    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=chromium_path, args=ARGUMENTS)
        yield made
        made.close()


@pytest.fixture
def told() -> Told:
    """What pages of this test complained of."""
    return Told()


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """A browser without a past."""
    made = browser.new_context(viewport=WIDE, color_scheme="light", accept_downloads=True)  # type: ignore[arg-type]
    made.set_default_timeout(PATIENCE)
    yield made
    made.close()


@pytest.fixture
def open_page(context: BrowserContext, served: Served, told: Told) -> Iterator[OpenPage]:
    """Opens a sheet and waits for its first shot; at the end no page may have complained or asked outside."""

    def opened(path: str = "/sheet/bank", *, wait: bool = True, within: BrowserContext | None = None) -> Page:
        page = (within or context).new_page()
        listen(page, told, served.address)
        page.goto(served.address + path)
        if wait:
            computed(page)
        return page

    yield opened
    assert told.faults == []
    assert told.outside == []


def listen(page: Page, told: Told, address: str) -> None:
    """Note faults of the page, requests that leave it, and what it asked its server."""

    def said(message: Any) -> None:
        expected = re.search(r"status of (409|422)", message.text)  # a refusal is an answer, told on the page
        if message.type in ("error", "warning") and not expected:
            told.faults.append(message.text)

    def asked(request: Any) -> None:
        told.asked.append(f"{request.method} {request.url.removeprefix(address)}")
        if not request.url.startswith((address, "blob:" + address)):
            told.outside.append(request.url)

    if SLOWER > 1:
        page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    page.on("console", said)
    page.on("pageerror", lambda fault: told.faults.append(str(fault)))
    page.on("request", asked)


def until(page: Page, question: str, given: Any = None, patience: float = 60.0) -> None:
    """Wait until the page answers yes; the page's own policy forbids the driver's way of waiting.

    A page that is just being replaced by the next one cannot answer: that counts as not yet.
    """
    end = time.monotonic() + patience
    while not _answers(page, question, given):
        assert time.monotonic() < end, f"still not: {question}"
        page.wait_for_timeout(40)


def _answers(page: Page, question: str, given: Any) -> bool:
    try:
        return bool(page.evaluate(question, given))
    except DriverError as fault:
        if re.search(r"context was destroyed|navigat", fault.message):
            return False
        raise


def computed(page: Page) -> None:
    """Wait for output and what stops you."""
    expect(page.locator("#output")).to_have_text(re.compile(r"^([0-9.]+ [mku]?J$|none)"))
    expect(page.locator("#stop")).to_contain_text(" at ")


def becomes(page: Page, selector: str, text: str, attribute: str = "") -> None:
    """Wait until an entry holds a value, or an element an attribute: outlasts a page that is being replaced."""
    found = page.locator(selector)
    if attribute:
        expect(found).to_have_attribute(attribute, text)
    else:
        expect(found).to_have_value(text)


def press(page: Page, selector: str, key: str, times: int = 1) -> None:
    """Keys on one element."""
    page.focus(selector)
    for _ in range(times):
        page.keyboard.press(key)


def edit(page: Page, path: str, text: str) -> None:
    """Set an entry of the build file."""
    field = f"#e-{path.replace('.', '-')}"
    page.fill(field, text)
    page.press(field, "Enter")


def line_of(page: Page, plot: str, role: str = "curve") -> str:
    """Path of the first curve of a plot."""
    return page.get_attribute(f"figure[data-plot='{plot}'] path.{role}", "d") or ""
