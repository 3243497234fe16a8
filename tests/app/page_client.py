"""A client for the page's app without a server: one question, one answer."""

from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import httpx
from fastapi import FastAPI

HERE = "http://127.0.0.1:8421"


def unmodelled(folder: Path) -> None:
    """Make the laser of a bench folder one that is not computed: nobody knows how fast its quencher is."""
    file = folder / "laser.toml"
    text = file.read_text("utf-8")
    assert 'quencher = "none"' in text
    file.write_text(text.replace('quencher = "none"', 'quencher = "DABCO"', 1), "utf-8")


class Client:
    """Asks an app; `headers` go with every question. Leaving it ends the app's work and joins its threads."""

    def __init__(self, app: FastAPI, headers: dict[str, str] | None = None) -> None:
        self.app = app
        self.headers = headers or {}

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.app.state.desk.jobs.close()

    def get(self, path: str, **more: Any) -> httpx.Response:
        return self._ask("GET", path, **more)

    def post(self, path: str, **more: Any) -> httpx.Response:
        return self._ask("POST", path, **more)

    def _ask(self, method: str, path: str, **more: Any) -> httpx.Response:
        async def ask() -> httpx.Response:
            transport = httpx.ASGITransport(self.app)
            async with httpx.AsyncClient(transport=transport, base_url=HERE, headers=self.headers) as client:
                return await client.request(method, path, **more)

        with ThreadPoolExecutor(1) as own:  # a browser test before may have left a loop running in this thread
            return own.submit(asyncio.run, ask()).result()
