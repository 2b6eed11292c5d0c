"""The pages put together as one ASGI application."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.resources import files

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import ASGIApp

from scribegauge.errors import ScribegaugeError
from scribegauge.serve import entrypages, historypages, mendpages, platepages, setuppages
from scribegauge.serve.bench import Bench
from scribegauge.serve.entry import COOKIE
from scribegauge.serve.guard import Guard
from scribegauge.serve.pages import bench_of, error_page, page
from scribegauge.serve.refusals import BenchError, status_of
from scribetarget.errors import TargetError

_STATIC = {
    "bench.css": "text/css",
    "bench.js": "text/javascript",
    "mend.js": "text/javascript",
    "icon.svg": "image/svg+xml",
}


def make_app(bench: Bench) -> ASGIApp:
    """Return the application.

    Parameters
    ----------
    bench : Bench

    Returns
    -------
    ASGIApp
        While it runs, the desk is open; plates that an earlier run left unread are read first.
    """
    modules = (entrypages, historypages, platepages, mendpages, setuppages)
    routes = [route for module in modules for route in module.ROUTES]
    app = Starlette(
        routes=[Route("/static/{name}", static_file), *routes],
        lifespan=_while_running,
        exception_handlers={
            ScribegaugeError: _refuse,
            TargetError: _refuse,
            HTTPException: _no_such_page,
        },
    )
    app.state.bench = bench
    app.state.known_photos = {}
    return Guard(app, bench)


async def static_file(request: Request) -> Response:
    """Send one of the page's own files; the list says which there are."""
    name = request.path_params["name"]
    if name not in _STATIC:
        raise BenchError("page_unknown", "There is no such page.", "Go back to the first page.")
    data = (files("scribegauge.serve") / "static" / name).read_bytes()
    return Response(data, media_type=_STATIC[name], headers={"cache-control": "max-age=300"})


@asynccontextmanager
async def _while_running(app: Starlette) -> AsyncIterator[None]:
    bench: Bench = app.state.bench
    bench.desk.open()
    await _read_unread(bench)
    yield
    await bench.desk.close()


async def _read_unread(bench: Bench) -> None:
    """Read what an earlier run took in and did not come to; what finds no room waits to be asked for."""
    for plate in reversed(bench.shelf.all()):
        try:
            await bench.send(plate)
        except (ScribegaugeError, TargetError):
            continue


async def _refuse(request: Request, error: Exception) -> Response:
    assert isinstance(error, ScribegaugeError | TargetError)  # noqa: S101 - by the table above
    request.state.refused = error.code
    if error.code in {"not_entered", "key_wrong"}:
        trouble = "" if error.code == "not_entered" else f"{error.text} {error.cure}"
        return page(request, "entry", None, status_of(error), code="", key="", trouble=trouble)
    visitor = bench_of(request).door.visitor_of(request.cookies.get(COOKIE))
    return error_page(error, status_of(error), visitor)


async def _no_such_page(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 404
    text = "There is no such page."
    return await _refused_as(request, BenchError("page_unknown", text, "Go back."), status)


async def _refused_as(request: Request, error: BenchError, status: int) -> Response:
    request.state.refused = error.code
    visitor = bench_of(request).door.visitor_of(request.cookies.get(COOKIE))
    return error_page(error, status, visitor)
