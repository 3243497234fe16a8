"""Starting the page's server: on this machine alone unless told otherwise, and then only with a token."""

from __future__ import annotations

import ipaddress
import secrets
import socket
import sys
import webbrowser
from collections.abc import Callable
from pathlib import Path

import uvicorn

from pulsewright.errors import BuildError, Finding
from pulsewright.web.app import create_app
from pulsewright.web.guard import LOOPBACK
from pulsewright.workbench import open_bench


def _say(words: str) -> None:
    sys.stdout.write(words + "\n")
    sys.stdout.flush()


class _Server(uvicorn.Server):
    """A server that tells when it listens."""

    def __init__(self, config: uvicorn.Config, ready: Callable[[], None]) -> None:
        super().__init__(config)
        self._ready = ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        if self.started:
            self._ready()


def serve(
    path: str | Path,
    host: str = "127.0.0.1",
    port: int = 0,
    token: str | None = None,
    open_browser: bool = True,
    announce: Callable[[str], None] = _say,
) -> None:
    """Serve the page of a bench until interrupted.

    Parameters
    ----------
    path : str or Path
        Bench folder, or the build file in it.
    host : str
        Address to listen on. Anything but this machine's own needs a token; one is made when none is given.
    port : int
        0 takes a free one.
    token : str, optional
        Word that a browser must bring.
    open_browser : bool
        Also open a browser, where there is one.
    announce : callable
        Told the address of the page.

    Raises
    ------
    BuildError
        If the address cannot be listened on.
    """
    bench = open_bench(path)
    alone = _is_loopback(host)
    if not alone and token is None:
        token = secrets.token_urlsafe(24)
    listening = _listen(host, port)
    place = page_address(host, listening.getsockname()[1], token)

    def ready() -> None:
        announce(f"The page of {bench.name}: {place}\nCtrl-C ends it.")
        if not alone:
            announce(
                "Others can reach it. Give the address with its token only to whom you trust with this build file."
            )
        if open_browser:
            webbrowser.open(place)

    app = create_app(bench, token=token, allowed_hosts=names_of(host))
    config = uvicorn.Config(app, log_level="warning", access_log=False, server_header=False, date_header=False)
    try:
        _Server(config, ready).run(sockets=[listening])
    except KeyboardInterrupt:
        announce("Ended.")
    finally:
        listening.close()


def page_address(host: str, port: int, token: str | None) -> str:
    """Address to type into a browser."""
    name = {"0.0.0.0": socket.gethostname(), "::": socket.gethostname()}.get(host, host)  # noqa: S104  compared, not bound
    shown = f"[{name}]" if ":" in name else name
    return f"http://{shown}:{port}/" + (f"?token={token}" if token else "")


def names_of(host: str) -> tuple[str, ...]:
    """Host names under which a server on this address may be asked."""
    return LOOPBACK if _is_loopback(host) else (*LOOPBACK, host, socket.gethostname(), socket.getfqdn())


def _is_loopback(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _listen(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    made = socket.socket(family, socket.SOCK_STREAM)
    try:
        if sys.platform != "win32":
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((host, port))
    except OSError as fault:
        made.close()
        raise BuildError(
            Finding(
                "error", "serve", f"cannot listen on {host} port {port}: {fault.strerror or fault}", "", "Take --port 0"
            )
        ) from fault
    return made
