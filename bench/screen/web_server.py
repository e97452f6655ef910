"""The web server: textual-serve with our own page and a check of every request.

The page loads everything from this server. A request must name a served host (against DNS rebinding), come from our
own page if it states an origin (against other pages in the same browser), and, from other machines, carry the token
of the address printed on the terminal. The token is moved to a cookie at once.
"""

from __future__ import annotations

import hmac
from collections.abc import Collection
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import aiohttp_jinja2
from aiohttp import web
from aiohttp.typedefs import Handler, Middleware
from textual_serve import server
from textual_serve.app_service import AppService
from textual_serve.server import Server

COOKIE = "bench"
_PAGE = Path(__file__).parent / "web"
_HEADERS = {
    "Content-Security-Policy": "default-src 'self' data:; style-src 'self' 'unsafe-inline'; "
    "script-src 'self' 'unsafe-inline'; connect-src 'self' ws: wss:; frame-ancestors 'none'",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-store",
}


class _Service(AppService):
    """The assistant behind one page. When it ends, however it ends, the page is notified and reconnects. The library
    notifies it only of a normal exit. `pages` counts those that are running: jobs are open in one place only."""

    pages = 0

    async def run(self) -> None:
        _Service.pages += 1
        try:
            await super().run()
        finally:
            _Service.pages -= 1
            await self.remote_close()


setattr(server, "AppService", _Service)  # noqa: B010 - the library has no other way to replace it


class GuardedServer(Server):
    """Serves the screen of `command` on `host` and `port` to requests for one of `names`, with the token if any."""

    def __init__(
        self, command: str, host: str, port: int, names: Collection[str], token: str = "", font_size: int = 16
    ) -> None:
        super().__init__(command, host=host, port=port, title="Bench", templates_path=_PAGE)
        self._names = frozenset(name.lower() for name in names)
        self._token = token
        self._font_size = font_size

    async def _make_app(self) -> web.Application:
        app = await super()._make_app()
        app.middlewares.append(self._guard())
        return app

    async def on_startup(self, app: web.Application) -> None:
        """Print nothing: the caller prints the address."""

    def initialize_logging(self) -> None:
        """Log nothing: the terminal shows the address and its code."""

    @aiohttp_jinja2.template("app_index.html")
    async def handle_index(self, request: web.Request) -> dict[str, Any]:
        """The page, with URLs on the host that was requested."""
        wanted = request.query.get("fontsize", "")
        size = (
            int(wanted)
            if wanted.isascii() and wanted.isdigit() and 6 <= int(wanted[:3]) <= 96
            else self._font_size
        )
        return {
            "font_size": size,
            "app_websocket_url": f"ws://{request.host}/ws",
            "config": {"static": {"url": "/static/"}},
            "application": {"name": self.title},
            "elsewhere": _Service.pages > 0,
        }

    def _guard(self) -> Middleware:
        @web.middleware
        async def guard(request: web.Request, handler: Handler) -> web.StreamResponse:
            refused = refusal(request, self._names, self._token)
            if refused:
                raise web.HTTPForbidden(text=refused)
            if self._token and request.query.get("token"):
                moved = web.HTTPFound(request.path)
                moved.set_cookie(COOKIE, self._token, httponly=True, samesite="Strict")
                raise moved
            response = await handler(request)
            if not response.prepared:
                response.headers.update(_HEADERS)
            return response

        return guard


def refusal(request: web.Request, names: Collection[str], token: str) -> str:
    """The reason for refusing a request, empty when it is allowed."""
    if _name(f"//{request.host}") not in names:
        return "This is not an address of this server. Use the one shown on its terminal."
    origin = request.headers.get("Origin")
    if origin is not None and urlsplit(origin).netloc != request.host:
        return "Only the server's own page may connect to it."
    if origin is None and request.path == "/ws":
        return "Only the server's own page may connect to it."
    given = request.query.get("token") or request.cookies.get(COOKIE, "")
    if token and not hmac.compare_digest(given.encode(), token.encode()):
        return "Open the address shown on the terminal of the machine, with its token, or scan its code."
    return ""


def _name(address: str) -> str:
    try:
        return (urlsplit(address).hostname or "").lower()
    except ValueError:
        return ""
