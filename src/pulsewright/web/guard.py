"""What stands before every request: Host, Origin, token, size, and the headers that keep the page to itself."""

from __future__ import annotations

import hmac
import ipaddress
import json
from collections.abc import Iterable, MutableMapping
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qsl, urlencode, urlsplit

from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BODY = 64 * 1024
MOST_QUERY = 16 * 1024
COOKIE = "pulsewright-token"
POLICY = "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; object-src 'none'"
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
}
LOOPBACK = ("127.0.0.1", "localhost", "::1")


class RefusedError(Exception):
    """A request that goes no further."""

    def __init__(self, status: int, message: str, allowed: str, next_step: str) -> None:
        super().__init__(message)
        self.status = status
        self.finding = {"grade": "error", "path": "", "message": message, "allowed": allowed, "next_step": next_step}


class Guard:
    """ASGI middleware.

    Parameters
    ----------
    app : ASGI application
    allowed_hosts : iterable of str
        Names, without port, under which the page may be asked for.
    token : str, optional
        Word that a browser must bring, once in the address, then as a cookie.
    """

    def __init__(self, app: ASGIApp, allowed_hosts: Iterable[str] = LOOPBACK, token: str | None = None) -> None:
        self.app = app
        self.hosts = frozenset(host.casefold() for host in allowed_hosts)
        self.token = token

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request pass, or answer it here."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        headers = {key.decode("latin-1"): value.decode("latin-1") for key, value in scope["headers"]}
        try:
            self._check(scope, headers)
            fresh = self._token(scope, headers)
        except RefusedError as refused:
            await _answer(send, refused)
            return
        if fresh:
            await _redirect(scope, send, fresh)
            return
        await self._pass_on(scope, receive, send)

    def _check(self, scope: Scope, headers: MutableMapping[str, str]) -> None:
        host = headers.get("host", "")
        if not self._known(host):
            raise RefusedError(
                421, f"This page is not served under the name {host!r}.", "The address that was printed", ""
            )
        if len(scope["query_string"]) > MOST_QUERY:
            raise RefusedError(414, "The address is too long.", f"At most {MOST_QUERY} characters", "Write the draft")
        if headers.get("sec-fetch-site") == "cross-site" and headers.get("sec-fetch-mode") != "navigate":
            raise RefusedError(403, "Another page asked for this.", "Requests of the page itself", "Open the page")
        if scope["method"] in ("GET", "HEAD"):
            return
        origin = urlsplit(headers.get("origin", ""))
        if origin.netloc.casefold() != host.casefold() or origin.scheme not in ("http", "https"):
            raise RefusedError(
                403, "This request comes from another page.", "Requests of the page itself", "Open the page"
            )
        if headers.get("content-type", "").split(";")[0].strip() != "application/json":
            raise RefusedError(415, "This request is not JSON.", "application/json", "")
        if _length(headers) > MOST_BODY:
            raise RefusedError(413, "This request is too large.", f"At most {MOST_BODY} bytes", "Change fewer entries")

    def _known(self, host: str) -> bool:
        """Whether a Host header names this server; with a token, a bare address does, since it cannot be rebound."""
        try:
            name = (urlsplit(f"//{host}").hostname or "").casefold()
            _ = urlsplit(f"//{host}").port
        except ValueError:
            return False
        return name in self.hosts or (self.token is not None and _is_address(name))

    def _token(self, scope: Scope, headers: MutableMapping[str, str]) -> str:
        """Check the token. When it stands in the address: the token, to be kept as a cookie."""
        if self.token is None:
            return ""
        given = dict(parse_qsl(scope["query_string"].decode("latin-1"))).get("token", "")
        if given and scope["method"] == "GET" and hmac.compare_digest(given.encode(), self.token.encode()):
            return self.token
        if not hmac.compare_digest(_cookie(headers).encode(), self.token.encode()):
            raise RefusedError(401, "The token is missing or wrong.", "The token that was printed", "Open that address")
        return ""

    async def _pass_on(self, scope: Scope, receive: Receive, send: Send) -> None:
        try:
            first = await _whole_body(receive) if scope["method"] not in ("GET", "HEAD") else None
        except RefusedError as refused:
            await _answer(send, refused)
            return

        async def again() -> Message:
            nonlocal first
            if first is None:
                return await receive()
            message, first = first, None
            return message

        async def dressed(message: Message) -> None:
            if message["type"] == "http.response.start":
                have = {key.lower() for key, _ in message["headers"]}
                extra = [(k.encode(), v.encode()) for k, v in HEADERS.items() if k.encode() not in have]
                message = {**message, "headers": [*message["headers"], *extra]}
            await send(message)

        await self.app(scope, again, dressed)


async def _whole_body(receive: Receive) -> Message:
    """The body in one message, read no further than is allowed."""
    parts: list[bytes] = []
    while True:
        message = await receive()
        parts.append(message.get("body", b""))
        if sum(map(len, parts)) > MOST_BODY:
            raise RefusedError(413, "This request is too large.", f"At most {MOST_BODY} bytes", "Change fewer entries")
        if message["type"] != "http.request" or not message.get("more_body", False):
            return {"type": "http.request", "body": b"".join(parts), "more_body": False}


def _length(headers: MutableMapping[str, str]) -> int:
    text = headers.get("content-length", "0")
    return int(text) if text.isdecimal() else MOST_BODY + 1


def _is_address(name: str) -> bool:
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


def _cookie(headers: MutableMapping[str, str]) -> str:
    try:
        jar = SimpleCookie(headers.get("cookie", ""))
    except CookieError:
        return ""
    return jar[COOKIE].value if COOKIE in jar else ""


async def _answer(send: Send, refused: RefusedError) -> None:
    body = json.dumps({"findings": [refused.finding]}).encode()
    headers: list[tuple[bytes, bytes]] = [(b"content-type", b"application/json"), (b"connection", b"close")]
    headers += [(key.encode(), value.encode()) for key, value in HEADERS.items()]
    await send({"type": "http.response.start", "status": refused.status, "headers": headers})
    await send({"type": "http.response.body", "body": body})


async def _redirect(scope: Scope, send: Send, token: str) -> None:
    """To the same address without the token, which the cookie now carries."""
    rest = [(k, v) for k, v in parse_qsl(scope["query_string"].decode("latin-1")) if k != "token"]
    place = scope["path"] + (f"?{urlencode(rest)}" if rest else "")
    cookie = f"{COOKIE}={token}; HttpOnly; SameSite=Strict; Path=/"
    headers: list[tuple[bytes, bytes]] = [(b"location", place.encode()), (b"set-cookie", cookie.encode())]
    headers += [(key.encode(), value.encode()) for key, value in HEADERS.items()]
    await send({"type": "http.response.start", "status": 303, "headers": headers})
    await send({"type": "http.response.body", "body": b""})
