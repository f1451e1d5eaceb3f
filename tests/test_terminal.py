"""The bar is drawn on terminals only and leaves a clean line; the first Ctrl-C stops, the second gives up."""

from __future__ import annotations

import io
import os
import signal
import threading

import pytest

from nesting.commands.terminal import bar_text, progress_on, stop_on_interrupt, watching
from nesting.model.settings import Progress, never, silent


class Screen(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_the_bar_tells_stage_and_best_within_the_columns() -> None:
    full = bar_text(Progress("descent", 0.5, "9 products"), 100)
    assert full == "[############............]  50 %  descent  best so far: 9 products"
    assert bar_text(Progress("descent", 0.5, "9 products"), 40) == full[:39]
    assert bar_text(Progress("x", 7.0), 80).startswith("[########################] 100 %")


def test_the_bar_leaves_a_clean_line() -> None:
    screen = Screen()
    with progress_on(screen) as report:
        report(Progress("orders", 0.1))
        report(Progress("orders", 1.0))
    lines = screen.getvalue().split("\r")
    assert "orders" in lines[1]
    assert lines[-1] == "\x1b[K"


def test_where_there_is_no_terminal_nothing_is_drawn() -> None:
    stream = io.StringIO()
    with progress_on(stream) as report:
        assert report is silent
        report(Progress("orders", 0.1))
    assert stream.getvalue() == ""


def test_the_first_interrupt_stops_and_the_second_gives_up() -> None:
    told = io.StringIO()
    before = signal.getsignal(signal.SIGINT)
    with stop_on_interrupt(told) as stop:
        assert not stop()
        os.kill(os.getpid(), signal.SIGINT)
        assert stop()
        assert "best so far" in told.getvalue()
        with pytest.raises(KeyboardInterrupt):
            os.kill(os.getpid(), signal.SIGINT)
    assert signal.getsignal(signal.SIGINT) is before


def test_outside_the_main_thread_the_rule_never_stops() -> None:
    found = []

    def work() -> None:
        with stop_on_interrupt() as stop:
            found.append(stop)

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    assert found == [never]


def test_a_watch_joins_further_rules() -> None:
    with watching(lambda: True) as watch:
        assert watch.stop()
    with watching() as watch:
        assert not watch.stop()
