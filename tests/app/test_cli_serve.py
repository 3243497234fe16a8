"""The page's server as a process of its own: it tells its address, answers, and ends politely on Ctrl-C."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

import pulsewright as pw

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(os.name == "nt", reason="not run: Ctrl-C of one process is not sent this way on Windows"),
]


@pytest.fixture
def server(tmp_path: Path) -> Iterator[subprocess.Popen[str]]:
    bench = pw.new_bench(tmp_path / "tidewater")
    command = [sys.executable, "-m", "pulsewright", "serve", str(bench), "--no-browser"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    yield process
    if process.poll() is None:
        process.kill()
    process.communicate(timeout=30)


def address(process: subprocess.Popen[str]) -> str:
    """The address that the server tells in its first line."""
    assert process.stdout is not None
    found = re.search(r"http://127\.0\.0\.1:\d+/", process.stdout.readline())
    assert found is not None
    return found.group(0)


def test_it_tells_its_address_answers_and_ends_with_0(server: subprocess.Popen[str]) -> None:
    place = address(server)
    with urllib.request.urlopen(place, timeout=30) as answer:
        words = answer.read().decode()
    assert answer.status == 200
    assert "tidewater" in words
    server.send_signal(signal.SIGINT)
    out, err = server.communicate(timeout=30)
    assert server.returncode == 0
    assert "Traceback" not in out + err


def test_a_port_that_is_taken_is_a_finding(server: subprocess.Popen[str], tmp_path: Path) -> None:
    port = address(server).rsplit(":", 1)[1].rstrip("/")
    command = [
        sys.executable,
        "-m",
        "pulsewright",
        "serve",
        str(tmp_path / "tidewater"),
        "--no-browser",
        "--port",
        port,
    ]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 1
    assert done.stderr.startswith("error ")
    assert port in done.stderr
    with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=30) as answer:
        assert answer.status == 200
