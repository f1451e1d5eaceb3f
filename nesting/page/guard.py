"""The door as middleware: every request passes it, every answer carries the safety headers."""

from __future__ import annotations

from http.cookies import CookieError, SimpleCookie

from starlette.datastructures import Headers, MutableHeaders, QueryParams
from starlette.responses import JSONResponse, PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from nesting.page.door import HEADERS, Door
from nesting.page.errors import Refusal


class Guard:
    """Turns away what the door does not admit, before any route sees it."""

    def __init__(self, app: ASGIApp, door: Door) -> None:
        self.app, self.door = app, door

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
        elif scope["type"] == "http":
            await self._http(scope, receive, _with_headers(send))
        else:
            await PlainTextResponse("not served", 403)(scope, receive, send)

    async def _http(self, scope: Scope, receive: Receive, send: Send) -> None:
        headers = Headers(scope=scope)
        try:
            self.door.admit(scope["method"], scope["path"], headers)
            cookie = self._welcome(scope, headers)
        except Refusal as refusal:
            await JSONResponse({"problem": refusal.problem}, refusal.status)(scope, receive, send)
        else:
            await self.app(scope, receive, _with_cookie(send, cookie) if cookie else send)

    def _welcome(self, scope: Scope, headers: Headers) -> str | None:
        """The cookie that a visitor who brings the address's token is given; None where no token is asked for or
        the visitor has it. (No redirect: after one from another site the browser would hold a strict cookie back.)"""
        if self.door.knows(_cookie(headers.get("cookie", ""), self.door.cookie)):
            return None
        token = QueryParams(scope["query_string"]).get("token")
        if scope["path"] != "/" or not self.door.knows(token):
            raise Refusal(401, "this page needs the whole address that hideplan printed, with its token")
        return f"{self.door.cookie}={token}; HttpOnly; SameSite=Strict; Path=/"


def _cookie(text: str, name: str) -> str | None:
    try:
        morsel = SimpleCookie(text).get(name)
    except CookieError:
        return None
    return morsel.value if morsel else None


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return sending


def _with_cookie(send: Send, cookie: str) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            MutableHeaders(scope=message).append("set-cookie", cookie)
        await send(message)

    return sending
