"""Serves the same screen to a browser, for a phone, a tablet or a wall display.

    bench serve                        on this machine only
    bench serve --qr                   to a phone in the shop: scan the code
    bench serve -- --theme sunlight    after --: options for bench itself

It uses the microphone and loudspeaker of this machine. For other machines the address contains a token that is new
at each start. Anyone who has it can control the job. The page loads nothing from other servers.
"""

from __future__ import annotations

import ipaddress
import secrets
import shlex
import socket
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TextIO

from bench.core.notes import BenchError, Note

_NOWHERE = ("192.0.2.1", 9)
"""A documentation address (RFC 5737), used to find our own outgoing address. Nothing is sent."""


@dataclass(frozen=True, slots=True)
class Served:
    """Where the page is served: the address to listen on, its valid names, and the token for other machines."""

    host: str
    port: int
    names: tuple[str, ...]
    token: str

    @property
    def url(self) -> str:
        """The URL to open, with its token."""
        shown = f"[{self.names[0]}]" if ":" in self.names[0] else self.names[0]
        return f"http://{shown}:{self.port}/" + (f"?token={self.token}" if self.token else "")


def served(host: str, port: int) -> Served:
    """The settings for serving on this host. Raises BenchError when it is not an address of this machine."""
    if is_loopback(host):
        return Served(host, port, (host, "localhost", "127.0.0.1", "::1"), "")
    everywhere = host in ("0.0.0.0", "::", "")
    own = own_address() if everywhere else host
    names = (
        own,
        socket.gethostname().lower(),
        f"{socket.gethostname().lower()}.local",
        "localhost",
        "127.0.0.1",
    )
    return Served(host, port, names, secrets.token_urlsafe(16))


def is_loopback(host: str) -> bool:
    """Whether only this machine can reach the host."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host.lower() == "localhost"


def own_address() -> str:
    """This machine's address in its network. Raises BenchError when it is in none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(_NOWHERE)
            return str(asked.getsockname()[0])
        except OSError as error:
            raise BenchError(
                Note("no_network", "This machine is not on a network that a phone could use."),
                Note("join_network", "Join one, open a hot spot, or name the address: --host ADDRESS."),
            ) from error


def command(arguments: Sequence[str]) -> str:
    """The command line that runs the assistant with the current Python."""
    return shlex.join([sys.executable, "-m", "bench", *arguments])


def announce(where: Served, qr: bool, out: TextIO) -> None:
    """Print the address and, if requested, a QR code of it. Raises BenchError without the library."""
    if qr:
        try:
            import segno
        except ImportError as error:
            raise _missing() from error
        segno.make(where.url, error="l").terminal(out=out, compact=True)
    print(f"Open {where.url}", file=out)
    if where.token:
        print("Anyone with this address can control the job. It changes at each start.", file=out)
    print("Press Ctrl+C to stop.", file=out, flush=True)


def serve(where: Served, arguments: Sequence[str], font_size: int = 16) -> None:
    """Serve until interrupted. Raises BenchError when the optional library is missing or the port is taken."""
    try:
        from bench.screen.web_server import GuardedServer
    except ImportError as error:
        raise _missing() from error
    with socket.socket(socket.AF_INET6 if ":" in where.host else socket.AF_INET) as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((where.host, where.port))
        except OSError as error:
            raise BenchError(
                Note("port_taken", f"Cannot listen on {where.host}, port {where.port}: {error.strerror}."),
                Note("port_other", "Choose another port: --port NUMBER."),
            ) from error
    GuardedServer(command(arguments), where.host, where.port, where.names, where.token, font_size).serve()


def _missing() -> BenchError:
    return BenchError(
        "Showing the screen in a browser needs another library.", "Run: pip install 'bench[serve]'"
    )
