"""What every request passes before a page sees it, and what every answer carries.

Whose request it is asked for by name, that forms come from this page, how often, how large and how
slowly; one line in the log without a person's code, key, address, or name of a file.
"""

import asyncio
import logging
import time
from collections.abc import Awaitable, Callable
from typing import Final
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from scribegauge.serve.bench import Bench
from scribegauge.serve.limits import (
    BODY_SECONDS,
    MOST_FORM_BYTES,
    MOST_UPLOAD_BYTES,
    PAUSE_SECONDS,
)
from scribegauge.serve.pages import error_page
from scribegauge.serve.refusals import BenchError, status_of

LOG: Final = logging.getLogger("scribegauge.serve")
_UPLOADS: Final = ("/plates", "/photos")
_SAFE: Final = {"GET", "HEAD"}
_ENVELOPE_BYTES: Final = 20_000

#: No script or style but the page's own files, no frame round it, nothing from elsewhere.
POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS: Final = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "geolocation=(), microphone=()",
    "cache-control": "no-store",
}


class Guard:
    """The outermost layer of the server."""

    def __init__(
        self,
        app: ASGIApp,
        bench: Bench,
        body_seconds: float = BODY_SECONDS,
        pause_seconds: float = PAUSE_SECONDS,
    ) -> None:
        self._app, self._bench = app, bench
        self._body_seconds, self._pause_seconds = body_seconds, pause_seconds

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it here."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        answer = _Answer(send)
        scope.setdefault("state", {})
        began = time.monotonic()
        try:
            most = self._refuse_strangers(scope)
            await self._app(scope, self._watched(receive, most), answer)
        except BenchError as error:
            scope["state"]["refused"] = error.code
            await error_page(error, status_of(error))(scope, receive, answer)
        finally:
            _log(scope, answer.status, time.monotonic() - began)

    def _refuse_strangers(self, scope: Scope) -> int:
        """Look at all that can be told from the head; return how many bytes may follow."""
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if _without_port(host) not in self._bench.settings.hosts:
            raise BenchError(
                "host_unknown",
                "This page is not known by that name.",
                "Use the link as it was shown; another name is added with --host-name.",
            )
        origin = headers.get("origin")
        if scope["method"] not in _SAFE and origin and urlsplit(origin).netloc != host:
            raise BenchError(
                "form_old", "This form did not come from this page.", "Load the page again."
            )
        if not scope["path"].startswith("/static/"):
            self._bench.meters.requests.take((scope.get("client") or ("",))[0])
        upload = scope["path"].endswith(_UPLOADS)
        most = MOST_UPLOAD_BYTES + _ENVELOPE_BYTES if upload else MOST_FORM_BYTES
        told = headers.get("content-length", "0")
        if not told.isdecimal() or int(told) > most:
            raise _too_large(most)
        return most

    def _watched(self, receive: Receive, most: int) -> Receive:
        """Count bytes and seconds of a body as it comes."""
        got = 0
        until: float | None = None

        async def counted() -> Message:
            nonlocal got, until
            loop = asyncio.get_running_loop()
            until = until or loop.time() + self._body_seconds
            left = min(self._pause_seconds, until - loop.time())
            message = await _within(receive, left)
            got += len(message.get("body", b""))
            if got > most:
                raise _too_large(most)
            return message

        return _until_whole(receive, counted)


async def _within(receive: Receive, seconds: float) -> Message:
    try:
        async with asyncio.timeout(seconds):
            return await receive()
    except TimeoutError as error:
        raise BenchError(
            "upload_slow",
            "The photo came too slowly.",
            "Go nearer to the network's box, then send it once more.",
        ) from error


def _until_whole(receive: Receive, counted: Callable[[], Awaitable[Message]]) -> Receive:
    """Watch until the body is whole; what comes then is only that the phone has left."""
    whole = False

    async def watched() -> Message:
        nonlocal whole
        if whole:
            return await receive()
        message = await counted()
        whole = message["type"] != "http.request" or not message.get("more_body", False)
        return message

    return watched


class _Answer:
    """Passes an answer on with the headers that each must have, and remembers its status."""

    def __init__(self, send: Send) -> None:
        self._send = send
        self.status = 0

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.status = message["status"]
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
        await self._send(message)


def _without_port(host: str) -> str:
    return host.lower() if host.endswith("]") else host.lower().rsplit(":", 1)[0]


def _too_large(most: int) -> BenchError:
    return BenchError(
        "upload_too_large",
        f"This is more than the {most / 1e6:.2g} MB that are taken.",
        "Send one photo as the camera saved it, as JPEG or HEIC.",
    )


def _log(scope: Scope, status: int, seconds: float) -> None:
    page = getattr(scope.get("endpoint"), "__name__", "page")
    refused = scope["state"].get("refused", "")
    words = f" refused {refused}" if refused else ""
    LOG.info("%s %s %d %.0f ms%s", scope["method"], page, status, 1000 * seconds, words)
