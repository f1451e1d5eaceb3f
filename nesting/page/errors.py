"""A request the page will not serve, in one plain line."""

from __future__ import annotations

from hides.errors import HideplanError


class Refusal(HideplanError):
    """A request that is turned away with an HTTP status and one line for the person who made it."""

    def __init__(self, status: int, problem: str) -> None:
        self.status, self.problem = status, problem
        super().__init__(problem)
