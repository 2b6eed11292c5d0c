"""Pages for setting up: the target to print, sheets with their bars, phones with their lens."""

from datetime import datetime

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from scribegauge.figure.ranges import BAR_RANGE_MM, ERROR_RANGE_MM
from scribegauge.serve.choices import number_of
from scribegauge.serve.entry import Visitor
from scribegauge.serve.entrypages import SEE_OTHER
from scribegauge.serve.forms import form_of, photo_form_of, visitor_of
from scribegauge.serve.pages import bench_of, page
from scribegauge.serve.phones import MOST_PHOTOS, Look, Progress, add_photo, clear_photos, look
from scribegauge.serve.refusals import BenchError
from scribegauge.sheets.shelf import keep_sheet, look_at_shelf
from scribetarget.coverage import ENOUGH_PHOTOS
from scribetarget.paper import PAPERS
from scribetarget.printscale import CALIPER_ERROR_MM
from scribetarget.sheet import draw_sheet
from scribetarget.sheetrecord import SheetRecord
from scribetarget.spec import load_specs

_LONGEST_NOTE = 80


async def show_setup(request: Request) -> Response:
    """Show targets to print, sheets on record, phones."""
    visitor, bench = visitor_of(request), bench_of(request)
    shelf = await run_in_threadpool(look_at_shelf, bench.settings.sheet_folder)
    windows = [(spec.size, f"{spec.window_mm:g}") for spec in load_specs().values()]
    return page(
        request,
        "setup",
        visitor,
        windows=windows,
        sheets=shelf.records,
        phones=bench.phones.names(visitor.code),
    )


async def target_pdf(request: Request) -> Response:
    """Draw the target, as ``scribegauge target`` does."""
    visitor_of(request)
    size = request.path_params["size"]
    paper = request.query_params.get("paper", "a4")
    if size not in load_specs() or paper not in PAPERS:
        raise BenchError("page_unknown", "There is no such sheet.", "Choose S, M or L.")
    pdf = await run_in_threadpool(draw_sheet, load_specs()[size], PAPERS[paper])
    name = f'inline; filename="target-{size}-{paper}.pdf"'
    return Response(pdf, media_type="application/pdf", headers={"content-disposition": name})


async def add_sheet(request: Request) -> Response:
    """Write a printed sheet down, where the command line finds it too."""
    visitor, bench = visitor_of(request), bench_of(request)
    fields = await form_of(request, visitor)
    bars = [number_of(fields, f"bar-{axis}", f"Bar {axis}", BAR_RANGE_MM) for axis in "xy"]
    error_mm = number_of(fields, "caliper", "The caliper's error", ERROR_RANGE_MM)
    if bars[0] is None or bars[1] is None:
        raise BenchError(
            "form_invalid", "Both check bars are needed.", "Measure bar x and bar y by caliper."
        )
    record = SheetRecord(
        name=fields.get("name", "").strip(),
        size=fields.get("size", ""),
        bars_mm=((bars[0], bars[1]),),
        caliper_error_mm=CALIPER_ERROR_MM if error_mm is None else error_mm,
        measured=datetime.now().astimezone().date(),
        note=fields.get("note", "").strip()[:_LONGEST_NOTE],
    )
    again = visitor.is_teacher and "replace" in fields  # others could spoil everybody's sheet
    folder = bench.settings.sheet_folder
    await run_in_threadpool(keep_sheet, folder, record, replace=again)
    return RedirectResponse("/setup", SEE_OTHER)


async def begin_phone(request: Request) -> Response:
    """Name a phone, and go to the page that takes its photos."""
    visitor, bench = visitor_of(request), bench_of(request)
    fields = await form_of(request, visitor)
    name = fields.get("name", "").strip()
    await run_in_threadpool(
        bench.phones.begin, visitor.code, name, fields.get("sheet", "").strip()[:40]
    )
    return RedirectResponse(f"/phones/{name.lower()}", SEE_OTHER)


async def show_phone(request: Request) -> Response:
    """Show how far a phone is and what its next photo should be."""
    visitor = visitor_of(request)
    name = request.path_params["name"]
    progress = await _progress(request, visitor, name)
    return page(
        request,
        "phone",
        visitor,
        name=name.lower(),
        progress=progress,
        enough=ENOUGH_PHOTOS,
        most=MOST_PHOTOS,
    )


async def add_phone_photo(request: Request) -> Response:
    """Take one photo of the target, and say what the next should be."""
    visitor, bench = visitor_of(request), bench_of(request)
    name = request.path_params["name"]
    folder = bench.phones.own_folder(visitor.code, name)
    bench.desk.refuse_if_full()
    _, photo, _ = await photo_form_of(request, visitor)
    await run_in_threadpool(add_photo, folder, photo)
    await _progress(request, visitor, name)
    return RedirectResponse(f"/phones/{name.lower()}", SEE_OTHER)


async def begin_again(request: Request) -> Response:
    """Take a phone's photos away."""
    visitor, bench = visitor_of(request), bench_of(request)
    folder = bench.phones.own_folder(visitor.code, request.path_params["name"])
    await form_of(request, visitor)
    await run_in_threadpool(clear_photos, folder)
    return RedirectResponse(f"/phones/{folder.name}", SEE_OTHER)


async def _progress(request: Request, visitor: Visitor, name: str) -> Progress:
    """Let a worker look at the phone's photos; those that it knows are not looked at again."""
    bench = bench_of(request)
    folder = bench.phones.folder_of(visitor.code, name)
    known = request.app.state.known_photos
    task = Look(folder, bench.settings.sheet_folder, known.get(folder, {}))
    number = len(list(folder.glob("ring-*")))
    answer = await bench.desk.take(f"phone-{folder}-{number}", look, task)
    progress: Progress = await answer
    known[folder] = progress.known
    return progress


ROUTES = (
    Route("/setup", show_setup),
    Route("/target/{size}.pdf", target_pdf),
    Route("/sheets", add_sheet, methods=["POST"]),
    Route("/phones", begin_phone, methods=["POST"]),
    Route("/phones/{name}", show_phone),
    Route("/phones/{name}/photos", add_phone_photo, methods=["POST"]),
    Route("/phones/{name}/again", begin_again, methods=["POST"]),
)
