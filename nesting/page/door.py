"""Who may talk to the page: host names, origins and, beyond this machine, a token.

A page on the loopback address is still reachable by every web site the same browser has open: through forms and
scripts sent across sites, and through names that an outsider makes point to 127.0.0.1 (DNS rebinding). So the
`Host` must be one of our own names, whatever changes something must carry our own header (which a foreign site
cannot send without asking first), and an `Origin` must be ours.
"""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field

from nesting.page.errors import Refusal

OWN_HEADER = "x-hideplan"
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}


def new_token() -> str:
    """A token nobody guesses."""
    return secrets.token_urlsafe(24)


@dataclass(frozen=True)
class Door:
    """The names the page answers to (`host:port`), and the token a visitor must bring (None: none)."""

    hosts: frozenset[str]
    token: str | None = None
    cookie: str = field(default="hideplan")

    def admit(self, method: str, path: str, headers: Mapping[str, str]) -> None:
        """Raise Refusal unless the request comes by one of our names and from our own page.

        The front page itself may be opened by a link on another site (a mail with the address): it holds no data, and
        it cannot be framed.
        """
        if headers.get("host", "").lower() not in self.hosts:
            raise Refusal(421, "hideplan does not answer to this address; use the one it printed when it started")
        origin = headers.get("origin")
        if origin is not None and origin.lower() not in {f"http://{host}" for host in self.hosts}:
            raise Refusal(403, "the request comes from another web site and was refused")
        opened = method == "GET" and path == "/" and headers.get("sec-fetch-dest") == "document"
        if headers.get("sec-fetch-site", "none") not in ("same-origin", "none") and not opened:
            raise Refusal(403, "the request comes from another web site and was refused")
        if method not in SAFE_METHODS and OWN_HEADER not in headers:
            raise Refusal(403, "the request does not come from hideplan's own page and was refused")

    def knows(self, token: str | None) -> bool:
        """Whether a visitor with this token may come in."""
        return self.token is None or hmac.compare_digest((token or "").encode(), self.token.encode())


def loopback_hosts(port: int) -> frozenset[str]:
    """The names of this machine to itself."""
    names = {f"{name}:{port}" for name in ("127.0.0.1", "localhost", "[::1]")}
    return frozenset(names | ({"127.0.0.1", "localhost", "[::1]"} if port == 80 else set()))
