"""Pages from templates; every text in them is escaped."""

from functools import cache
from typing import Any, Final

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from scribegauge.errors import ScribegaugeError
from scribegauge.report.cleantext import clean
from scribegauge.report.htmlfile import unbroken
from scribegauge.report.words import shown_word
from scribegauge.serve.bench import Bench
from scribegauge.serve.entry import Visitor
from scribetarget.errors import TargetError

#: For pages that were made to stand alone: their style is within, and they run nothing.
ALONE: Final = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; sandbox"


def bench_of(request: Request) -> Bench:
    """Return what the pages work with."""
    bench: Bench = request.app.state.bench
    return bench


def page(
    request: Request, template: str, visitor: Visitor | None, status: int = 200, **shown: Any
) -> Response:
    """Write a page.

    Parameters
    ----------
    request : Request
    template : str
        Name of the template, without its ending.
    visitor : Visitor or None
        Whose page it is; forms in it can be sent by that visitor.
    status : int
    **shown
        What the template shows.
    """
    door = bench_of(request).door
    token = "" if visitor is None else door.form_token(visitor)
    text = (
        _environment()
        .get_template(f"{template}.html.j2")
        .render(visitor=visitor, token=token, **shown)
    )
    return HTMLResponse(text, status)


def error_page(
    error: ScribegaugeError | TargetError, status: int, visitor: Visitor | None = None
) -> Response:
    """Write what is said about a request that was not carried out."""
    template = _environment().get_template("error.html.j2")
    text = template.render(visitor=visitor, token="", error=error)
    headers = {"retry-after": "10"} if error.code in {"bench_busy", "too_often"} else None
    return HTMLResponse(text, status, headers)


def stand_alone(html: bytes, way_back: str) -> Response:
    """Answer with a page that was made to stand alone, with a way back put on top of it."""
    link = f'<p><a href="{way_back}">← Back to the bench page</a></p>'
    html = html.replace(b"<body>\n", b"<body>\n" + link.encode(), 1)
    return HTMLResponse(html, headers={"content-security-policy": ALONE})


@cache
def _environment() -> Environment:
    # Set for every name: Jinja's own choice by ending does not know `.html.j2` and escapes nothing.
    environment = Environment(
        loader=PackageLoader("scribegauge.serve"),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_clean,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["unbroken"] = unbroken
    environment.filters["shown"] = shown_word
    return environment


def _clean(value: object) -> object:
    if not isinstance(value, str) or hasattr(value, "__html__"):
        return value
    return clean(value)
