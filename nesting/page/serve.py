"""Serving the page: a socket on this machine (or, if asked, the local network), and the address to open."""

from __future__ import annotations

import contextlib
import ipaddress
import socket
from dataclasses import dataclass
from pathlib import Path

import uvicorn

from hides.errors import InputError
from nesting.page.app import make_app
from nesting.page.door import Door, loopback_hosts, new_token

USUAL_PORT = 8760


@dataclass(frozen=True)
class Address:
    """Where the page is served: the open socket, its door, and the addresses a person can use."""

    listening: socket.socket
    door: Door
    addresses: tuple[str, ...]


def open_place(port: int | None, lan: bool) -> Address:
    """Take a port (the usual one, another where that is taken; the asked one or none)."""
    listening = _listen("0.0.0.0" if lan else "127.0.0.1", port)
    taken: int = listening.getsockname()[1]
    if not lan:
        return Address(
            listening, Door(loopback_hosts(taken), cookie=f"hideplan-{taken}"), (f"http://127.0.0.1:{taken}/",)
        )
    token, own = new_token(), lan_addresses()
    hosts = loopback_hosts(taken) | {f"{address}:{taken}" for address in own}
    door = Door(hosts, token, f"hideplan-{taken}")
    return Address(listening, door, tuple(f"http://{a}:{taken}/?token={token}" for a in (*own, "127.0.0.1")))


def serve(folder: Path, place: Address) -> None:
    """Serve until Ctrl-C."""
    app = make_app(folder, place.door)
    config = uvicorn.Config(
        app, log_level="warning", timeout_graceful_shutdown=1, server_header=False, date_header=False, ws="none"
    )
    with contextlib.suppress(KeyboardInterrupt):
        uvicorn.Server(config).run(sockets=[place.listening])


def lan_addresses() -> tuple[str, ...]:
    """This machine's IPv4 addresses beyond loopback."""
    found = set()
    with contextlib.suppress(OSError):
        found |= {str(info[4][0]) for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)}
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect(("192.0.2.1", 9))  # chooses a route; a datagram socket sends nothing by this
        found.add(str(probe.getsockname()[0]))
    return tuple(sorted(a for a in found if not ipaddress.ip_address(a).is_loopback))


def _listen(address: str, port: int | None) -> socket.socket:
    for attempt in (port,) if port is not None else (USUAL_PORT, 0):
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((address, attempt))
        except (OSError, OverflowError) as error:
            listening.close()
            problem = error
            continue
        listening.listen(64)
        return listening
    raise InputError(
        f"port {port} cannot be used ({problem})", where="page", field="--port", remedy="name another, or none"
    )
