"""The local page, server side: from a request to its whole answer, without socket and browser.

A sheet's reply to a moved charge slider (a shot with inputs not seen before, its curves as one block) and a whole
page. What the browser takes to draw comes on top. `--once` asks a few times.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import statistics
import tempfile
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


def main() -> None:
    """Print medians."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--once", action="store_true", help="a few questions: for CI")
    count = 3 if parser.parse_args().once else 41
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
        finally:
            app.state.desk.jobs.close()


if __name__ == "__main__":
    main()
