"""Starting the server: where it listens, what it tells, and that it never listens to others without a token."""

from __future__ import annotations

import re
import socket
from pathlib import Path

import pytest

from pulsewright.errors import BuildError
from pulsewright.web import serve
from pulsewright.workbench import new_bench


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return new_bench(tmp_path / "tidewater", "tidewater")


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """A server that ends as soon as it would listen; the addresses it opened in a browser."""
    import importlib

    module = importlib.import_module("pulsewright.web.serve")
    seen: list[str] = []
    monkeypatch.setattr(module._Server, "run", lambda self, sockets: self._ready())
    monkeypatch.setattr(module.webbrowser, "open", seen.append)
    return seen


def test_alone_it_needs_no_token(folder: Path, opened: list[str]) -> None:
    said: list[str] = []
    serve(folder, announce=said.append)
    assert re.match(r"The page of tidewater: http://127\.0\.0\.1:\d+/\n", said[0])
    assert len(said) == 1
    assert opened == [re.search(r"http\S+", said[0]).group()]  # type: ignore[union-attr]


def test_where_others_can_ask_a_token_is_made_and_it_is_said(folder: Path, opened: list[str]) -> None:
    told: list[list[str]] = []
    for _ in range(2):
        said: list[str] = []
        serve(folder, host="0.0.0.0", open_browser=False, announce=said.append)
        told.append(said)
    tokens = {re.search(r"\?token=([\w-]{20,})", said[0]).group(1) for said in told}  # type: ignore[union-attr]
    assert len(tokens) == 2
    assert "Others can reach it" in told[0][1]
    assert opened == []


def test_a_token_of_ones_own_is_used(folder: Path, opened: list[str]) -> None:
    said: list[str] = []
    serve(folder, host="0.0.0.0", token="my-own", announce=said.append)
    assert "?token=my-own\n" in said[0]


def test_a_port_that_is_taken_is_a_finding(folder: Path, opened: list[str]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(BuildError) as refused:
            serve(folder, port=port, announce=lambda _: None)
    finding = refused.value.findings[0]
    assert f"port {port}" in finding.message
    assert finding.next_step == "Take --port 0"


def test_the_socket_is_given_back(folder: Path, opened: list[str]) -> None:
    said: list[str] = []
    serve(folder, announce=said.append)
    port = int(re.search(r":(\d+)/", said[0]).group(1))  # type: ignore[union-attr]
    with socket.create_server(("127.0.0.1", port)):
        pass
