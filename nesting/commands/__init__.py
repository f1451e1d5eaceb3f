"""The `hideplan` command: one file a sub-command, imported only when it is asked for."""

from __future__ import annotations

import argparse
import gc
import importlib
import io
import os
import signal
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from hides.errors import InputError, LayoutFault

if TYPE_CHECKING:
    from nesting.commands.stopping import StopGuard

VERSION = "0.1.0"

COMMANDS = {
    "trace": "make a hide file from a photo, a drawing, a table of offsets or an invoice's area",
    "yield": "how many products a hide gives, and where each piece goes",
    "batch": "which hides to cut for an order, how, and what to buy",
    "compare": "one product in several leathers and thicknesses: yield, cost, weight, fasteners",
    "check": "verify a layout without trusting whoever made it",
    "sheet": "cut sheet, full-size pattern, drawing or piece list from a layout",
    "stock": "the register of hides and offcuts",
    "interlock": "how well each piece nests with itself, and what is lost between the pieces",
    "page": "the local web page: trace, plan, look",
}

SELDOM = 50_000, 10, 10
"""When to look for rubbish in rings: loading makes a million objects and none, and looking took a tenth of the time."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run `hideplan`; the exit status is 0 done, 1 a check or demand not met, 2 unusable input."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    if arguments is None and isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")  # a file's name may hold bytes that are no UTF-8
    guard = _guard() if arguments is None and words[:1] != ["page"] else None  # the page's server has its own
    try:
        status = _run(words)
        sys.stdout.flush()
        return status
    except InputError as error:
        print(f"hideplan: {error}", file=sys.stderr)
        return 2
    except LayoutFault as error:
        print(f"hideplan: {error}", file=sys.stderr)
        return 1
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except OSError as error:
        print(f"hideplan: {_oserror(error)}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        from nesting.commands.stopping import end  # seldom needed

        if arguments is None:
            end(guard.number if guard and guard.number else signal.SIGINT)
        print("hideplan: stopped", file=sys.stderr)
        return 130
    finally:
        if guard:
            guard.rest()


def _guard() -> StopGuard:
    from nesting.commands.stopping import StopGuard

    guard = StopGuard()
    guard.settle()
    return guard


def _run(words: list[str]) -> int:
    parser = _parser()
    if not words:
        parser.print_help()
        return 0
    if words[0] not in COMMANDS and not words[0].startswith("-"):
        raise InputError(f"there is no command “{words[0]}”", remedy=f"give one of {', '.join(COMMANDS)}")
    known, rest = parser.parse_known_args(words[:1])
    gc.set_threshold(*SELDOM)
    command = importlib.import_module(f"nesting.commands.{known.command}_command")
    own = Parser(prog=f"hideplan {known.command}", description=_sentence(COMMANDS[known.command]))
    command.add_arguments(own)
    return int(command.run(own.parse_args([_as_value(word) for word in rest + words[1:]])))


def _as_value(word: str) -> str:
    """A word that begins like a number below nought ("-1mm") is what an option is given, never an option itself."""
    return f" {word}" if word[:1] == "-" and word[1:2].isdigit() else word


def _oserror(error: OSError) -> InputError:
    """A disk that is full, a folder that may not be read: one line like every other error."""
    where = str(error.filename) if error.filename else "standard output"
    remedy = "look at the disk's room and the file's permissions"
    return InputError(f"the system says: {error.strerror or error}", where=where, remedy=remedy)


def _parser() -> argparse.ArgumentParser:
    listing = "\n".join(f"  {name:<10} {text}" for name, text in COMMANDS.items())
    parser = Parser(
        prog="hideplan",
        usage="hideplan COMMAND ...",
        description="Nests the pieces of leather goods on real hides and says what the hides yield.",
        epilog=f"commands:\n{listing}\n\n“hideplan COMMAND --help” tells more of each.",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"hideplan {VERSION}")
    parser.add_argument("command", choices=COMMANDS, metavar="COMMAND", help=argparse.SUPPRESS)
    return parser


def _sentence(text: str) -> str:
    return text[0].upper() + text[1:] + "."


class Parser(argparse.ArgumentParser):
    """An argument parser whose errors are one line, like every other error here."""

    def error(self, message: str) -> None:  # type: ignore[override]
        raise InputError(message, where=self.prog.removeprefix("hideplan").strip(), remedy=f"see “{self.prog} --help”")
