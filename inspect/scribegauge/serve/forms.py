"""Forms that visitors send: who sends them, that they are sent once, and the photo in them."""

from hashlib import sha256

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request

from scribegauge.photo.decode import size_px
from scribegauge.serve.entry import COOKIE, Visitor
from scribegauge.serve.limits import MOST_UPLOAD_BYTES
from scribegauge.serve.pages import bench_of
from scribegauge.serve.refusals import BenchError
from scribegauge.serve.work import PHOTO_NAME

_MOST_FIELDS = 200
_LONGEST_FIELD = 4000


def visitor_of(request: Request) -> Visitor:
    """Return who sends a request.

    Raises
    ------
    BenchError
        ``not_entered``.
    """
    visitor = bench_of(request).door.visitor_of(request.cookies.get(COOKIE))
    if visitor is None:
        raise BenchError(
            "not_entered",
            "Nobody is let in without a key.",
            "Scan your code, or type code and key below.",
        )
    return visitor


def teacher_of(request: Request) -> Visitor:
    """Return the teacher.

    Raises
    ------
    BenchError
        ``not_entered``, ``teacher_only``.
    """
    visitor = visitor_of(request)
    if not visitor.is_teacher:
        raise BenchError(
            "teacher_only", "Only the teacher may do this.", "Ask your teacher to do it."
        )
    return visitor


async def form_of(request: Request, visitor: Visitor) -> dict[str, str]:
    """Read a form without a photo.

    Raises
    ------
    BenchError
        ``form_old``, ``form_replayed``, ``form_invalid``; as the guard says of its size.
    """
    fields = await open_form(request)
    bench_of(request).door.take_form(visitor, fields.get("token", ""))
    return fields


async def open_form(request: Request) -> dict[str, str]:
    """Read a form of somebody who has not entered yet."""
    try:
        async with request.form(max_files=0, max_fields=_MOST_FIELDS) as form:
            return {k: v for k, v in form.items() if isinstance(v, str)}
    except HTTPException as error:
        raise _broken() from error


async def photo_form_of(request: Request, visitor: Visitor) -> tuple[dict[str, str], bytes, str]:
    """Read a form with one photo; nothing of it is decoded.

    Returns
    -------
    fields, photo, sha256 : dict of str to str, bytes, str

    Raises
    ------
    BenchError
        As `form_of`; ``photo_none``.
    PhotoError
        ``photo_unreadable`` by its content, whatever its name says; ``photo_too_large``.
    """
    bench = bench_of(request)
    bench.meters.uploads.take(visitor.session)
    try:
        async with request.form(max_files=1, max_fields=_MOST_FIELDS) as form:
            fields = {k: v[:_LONGEST_FIELD] for k, v in form.items() if isinstance(v, str)}
            photo = form.get("photo")
            data = await photo.read() if isinstance(photo, UploadFile) else b""
    except HTTPException as error:
        raise _broken() from error
    bench.door.take_form(visitor, fields.get("token", ""))
    if not data:
        raise BenchError("photo_none", "No photo came along.", "Take one, then send it.")
    if len(data) > MOST_UPLOAD_BYTES:
        raise BenchError(
            "upload_too_large",
            f"The photo has more than {MOST_UPLOAD_BYTES // 10**6} MB.",
            "Send it as JPEG or HEIC.",
        )
    await run_in_threadpool(size_px, data, f"The {PHOTO_NAME}")
    return fields, data, sha256(data).hexdigest()


def _broken() -> BenchError:
    return BenchError(
        "form_invalid",
        "The form came broken or holds too much.",
        "Load the page and send it again.",
    )
