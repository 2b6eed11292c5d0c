"""Pages for coming in, going out, and the teacher's list of who may."""

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from scribegauge.serve.entry import COOKIE, Visitor
from scribegauge.serve.forms import form_of, open_form, teacher_of, visitor_of
from scribegauge.serve.pages import bench_of, page
from scribegauge.serve.qrcode import qr_svg

SEE_OTHER = 303


async def show_entry(request: Request) -> Response:
    """Show the page for coming in; a link that holds a key fills it in."""
    code, key = request.path_params.get("code", ""), request.path_params.get("key", "")
    return page(request, "entry", None, code=code, key=key, trouble="")


async def enter(request: Request) -> Response:
    """Let somebody in."""
    bench = bench_of(request)
    bench.meters.entries.take((request.client.host if request.client else "") or "nobody")
    fields = await open_form(request)
    code, key = fields.get("code", "").strip()[:40], fields.get("key", "")
    visitor = await run_in_threadpool(bench.door.enter, code, key)
    answer = RedirectResponse("/", SEE_OTHER)
    value, seconds = bench.door.cookie_of(visitor)
    answer.set_cookie(
        COOKIE,
        value,
        max_age=seconds,
        httponly=True,
        samesite="strict",
        secure=bench.settings.sealed,
    )
    return answer


async def leave(request: Request) -> Response:
    """Let the browser forget who it was."""
    await form_of(request, visitor_of(request))
    answer = RedirectResponse("/in", SEE_OTHER)
    answer.delete_cookie(COOKIE, httponly=True, samesite="strict")
    return answer


async def show_pupils(request: Request) -> Response:
    """Show who may come in."""
    return _pupils(request, teacher_of(request))


async def make_key(request: Request) -> Response:
    """Make a pupil's key and show its link once, as a code to scan."""
    visitor, bench = teacher_of(request), bench_of(request)
    fields = await form_of(request, visitor)
    code = fields.get("code", "").strip()
    key = await run_in_threadpool(bench.ring.new_pupil_key, code)
    link = f"{bench.settings.address}/in/{code}/{key}"
    return _pupils(request, visitor, code, link, key)


async def take_key_back(request: Request) -> Response:
    """Let a pupil in no longer."""
    visitor, bench = teacher_of(request), bench_of(request)
    fields = await form_of(request, visitor)
    await run_in_threadpool(bench.ring.take_back, fields.get("code", ""))
    return RedirectResponse("/pupils", SEE_OTHER)


def _pupils(
    request: Request, visitor: Visitor, code: str = "", link: str = "", key: str = ""
) -> Response:
    codes = bench_of(request).ring.codes
    drawn = qr_svg(link, f"Code that lets {code} in") if link else ""
    return page(request, "pupils", visitor, codes=codes, code=code, link=link, key=key, drawn=drawn)


ROUTES = (
    Route("/in", show_entry),
    Route("/in", enter, methods=["POST"]),
    Route("/in/{key}", show_entry),
    Route("/in/{code}/{key}", show_entry),
    Route("/out", leave, methods=["POST"]),
    Route("/pupils", show_pupils),
    Route("/pupils", make_key, methods=["POST"]),
    Route("/pupils/take-back", take_key_back, methods=["POST"]),
)
