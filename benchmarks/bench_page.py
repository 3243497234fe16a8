"""The local page: from a request to its whole answer, and in a browser from the moved slider to painted plots.

Server side, without socket and browser: a sheet's reply to a moved charge slider (a shot with inputs not seen before,
its curves as one block) and a whole page. `--browser PATH` goes on with a Chromium: the page's own measure from the
slider's event to the paint, once when no work runs and once while the band is sampled and the envelope worked out.
`--once` asks a few times.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import statistics
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pulsewright as pw
from pulsewright.web import create_app

HOST = "127.0.0.1:8421"
VIEWS = ("shot", "bank", "lamps", "chamber", "dye", "resonator", "train")


def ask(app: Any, method: str, path: str, body: bytes = b"") -> bytes:
    """One question to the app, by its own protocol; the body of the answer."""
    parts: list[bytes] = []
    status: list[int] = []

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: dict[str, Any]) -> None:
        if message["type"] == "http.response.start":
            status.append(message["status"])
        parts.append(message.get("body", b""))

    scope = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": method,
        "scheme": "http",
        "path": path,
        "raw_path": path.encode(),
        "query_string": b"",
        "root_path": "",
        "headers": [
            (b"host", HOST.encode()),
            (b"origin", f"http://{HOST}".encode()),
            (b"content-type", b"application/json"),
            (b"content-length", str(len(body)).encode()),
        ],
        "client": ("127.0.0.1", 50000),
        "server": ("127.0.0.1", 8421),
    }
    asyncio.run(app(scope, receive, send))
    if status != [200]:
        raise SystemExit(f"{method} {path} answered {status}")
    return b"".join(parts)


def times(work: Callable[[int], bytes], count: int) -> tuple[list[float], int]:
    """Times of so many answers, and the size of the last."""
    found, size = [], 0
    for n in range(count):
        begin = time.perf_counter()
        size = len(work(n))
        found.append(time.perf_counter() - begin)
    return found, size


#: What the page measures from the slider's event to the paint of everything that moves with it. [ms]
MEASURED = "performance.getEntriesByName('slider to paint')[0]?.duration ?? 0"
MOVE = """volts => {
  performance.clearMeasures("slider to paint");
  const slider = document.getElementById("charge");
  slider.value = String(volts);
  slider.dispatchEvent(new Event("input"));
}"""


def moves(page: Any, count: int, pause: float, start: float) -> list[float]:
    """Times from slider to paint of so many moves, in ms, with a pause between them."""
    found = []
    for n in range(count):
        page.wait_for_timeout(pause)
        page.evaluate(MOVE, start + 10 * n)
        while not (took := page.evaluate(MEASURED)):
            page.wait_for_timeout(5)
        found.append(took)
    return found


def in_browser(app: Any, chromium: str, count: int) -> None:
    """Print what a reader waits for."""
    import uvicorn  # noqa: PLC0415  only this part needs a browser
    from playwright.sync_api import sync_playwright  # noqa: PLC0415

    server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=8421, log_level="error"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        page = browser.new_page(viewport={"width": 1440, "height": 1000})
        for view in VIEWS if count > 3 else VIEWS[:1]:
            page.goto(f"http://{HOST}/sheet/{view}")
            page.locator("#output-band", has_text="sampled)").wait_for(timeout=300_000)
            page.locator("#stop", has_text=" at ").wait_for(timeout=300_000)
            still = moves(page, count, 60, 8000)
            page.wait_for_timeout(900)  # the slider rests: the band and the envelope are begun
            busy = moves(page, count, 400, 9000)
            print(
                f"slider to paint, {view:9}: median {statistics.median(still):4.0f} ms,"
                f" beside long work {statistics.median(busy):4.0f} ms",
                flush=True,
            )
        browser.close()
    server.should_exit = True
    thread.join(10)


def main() -> None:
    """Print medians."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--once", action="store_true", help="a few questions: for CI")
    parser.add_argument("--browser", metavar="PATH", help="a Chromium: measure in the browser too")
    args = parser.parse_args()
    count = 3 if args.once else 41
    with tempfile.TemporaryDirectory() as folder:
        app = create_app(pw.open(pw.new_bench(Path(folder) / "tidewater")))
        volts = iter(range(8000, 12000))

        def moved(view: str) -> Callable[[int], bytes]:
            def question(_: int) -> bytes:
                draft = {"bank.charge_voltage": f"{next(volts)} V"}
                return ask(app, "POST", "/shot", json.dumps({"view": view, "draft": draft}).encode())

            return question

        moved("shot")(0)
        try:
            for view in VIEWS:
                found, size = times(moved(view), count)
                print(
                    f"moved slider, {view:9}: median {1e3 * statistics.median(found):6.1f} ms, {size / 1024:6.1f} KiB"
                )
            found, size = times(lambda _: ask(app, "GET", "/sheet/shot"), count)
            print(f"whole page, shot      : median {1e3 * statistics.median(found):6.1f} ms, {size / 1024:6.1f} KiB")
            if args.browser:
                in_browser(app, args.browser, min(count, 15))
        finally:
            app.state.desk.jobs.close()


if __name__ == "__main__":
    main()
