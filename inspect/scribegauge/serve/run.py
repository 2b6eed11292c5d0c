"""The server itself: where it listens, how it stops, what it prints."""

import logging
import socket
import sys
from dataclasses import dataclass
from pathlib import Path

import uvicorn

from scribegauge.serve.app import make_app
from scribegauge.serve.bench import Settings, make_bench
from scribegauge.serve.qrcode import qr_text
from scribegauge.serve.refusals import BenchError

#: Phones that keep a line open; more wait at the door.
MOST_LINES = 64
#: For a photo in hand to be finished, and answers to be sent.
STOP_SECONDS = 30
LOOPBACK = "127.0.0.1"


@dataclass(frozen=True, slots=True)
class Listening:
    """Where the server listens: host, port, and files of a TLS certificate, or None."""

    host: str
    port: int
    certificate: Path | None
    private_key: Path | None

    @property
    def scheme(self) -> str:
        """Return ``https`` with a certificate, else ``http``."""
        return "http" if self.certificate is None else "https"


def address_in_network() -> str:
    """Return this computer's address in the workshop's network.

    No packet is sent: a datagram socket is only told where it would go.

    Raises
    ------
    BenchError
        ``no_network``.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # RFC 5737: nobody's address
            return str(probe.getsockname()[0])
        except OSError as error:
            raise BenchError(
                "no_network",
                "This computer is in no network.",
                "Connect it, or leave --network out to use the page on this computer alone.",
            ) from error


def serve(settings: Settings, listening: Listening) -> None:
    """Run until SIGTERM or Ctrl-C; what is being measured then is finished first.

    Parameters
    ----------
    settings : Settings
    listening : Listening

    Raises
    ------
    BenchError
        ``port_taken``.
    """
    bench = make_bench(settings)
    lines = _listen(listening)
    link = f"{settings.address}/in/{bench.ring.new_teacher_key()}"
    _log_to_stderr()
    if listening.host != LOOPBACK:
        print(qr_text(link), file=sys.stderr)  # noqa: T201 - for the person at the terminal
    print(f"The teacher's link: {link}", file=sys.stderr)  # noqa: T201
    config = uvicorn.Config(
        make_app(bench),
        log_config=None,
        access_log=False,
        server_header=False,
        date_header=False,
        limit_concurrency=MOST_LINES,
        timeout_graceful_shutdown=STOP_SECONDS,
        ssl_certfile=listening.certificate,
        ssl_keyfile=listening.private_key,
    )
    uvicorn.Server(config).run(sockets=[lines])


def _listen(listening: Listening) -> socket.socket:
    lines = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    lines.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        lines.bind((listening.host, listening.port))
    except OSError as error:
        lines.close()
        raise BenchError(
            "port_taken",
            f"Port {listening.port} of {listening.host} cannot be used ({error.strerror}).",
            "Choose another with --port; perhaps the page runs already.",
        ) from error
    return lines


def _log_to_stderr() -> None:
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(logging.Formatter("%(asctime)s %(message)s", "%H:%M:%S"))
    for name, level in (("scribegauge.serve", logging.INFO), ("uvicorn.error", logging.WARNING)):
        log = logging.getLogger(name)
        log.addHandler(handler)
        log.setLevel(level)
