"""`hideplan page`: the local web page."""

from __future__ import annotations

import argparse
import signal
import webbrowser
from pathlib import Path

from hides.errors import InputError
from nesting.page.serve import Address, open_place, serve

TOLD_LAN = (
    "Open to the local network: whoever has the address below can read and change the files of this folder. "
    "The connection is not encrypted. Stop it with Ctrl-C when you are done."
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `hideplan page`."""
    parser.add_argument("--folder", default=".", metavar="DIR", help="the folder it reads and writes [this one]")
    parser.add_argument("--port", type=int, metavar="N", help="the port to serve on [8760, or a free one]")
    parser.add_argument("--lan", action="store_true", help="let other devices on the local network in, with a token")
    parser.add_argument("--no-browser", action="store_true", help="do not open the browser")


def run(options: argparse.Namespace) -> int:
    """Serve the page until Ctrl-C."""
    folder = Path(options.folder)
    if not folder.is_dir():
        raise InputError("there is no such folder", where=str(folder), remedy="make it first, or name another")
    if options.port is not None and not 0 <= options.port <= 65535:
        raise InputError(f"{options.port} is no port", where="page", field="--port", remedy="name one up to 65535")
    place = open_place(options.port, options.lan)
    _tell(folder, place, options.lan)
    if not options.no_browser:
        webbrowser.open(place.addresses[-1])
    serve(folder, place)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # it is ending already; a second Ctrl-C would do it with a traceback
    return 0


def _tell(folder: Path, place: Address, lan: bool) -> None:
    if lan:
        print(TOLD_LAN)
    for address in place.addresses:
        print(f"hideplan page: {address}", flush=True)
    print(f"It reads and writes in {folder.resolve()}. Ctrl-C stops it.", flush=True)
