"""Pages for one plate: choose, photograph, wait, see what came out."""

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from scribegauge.ledger.record import check_code
from scribegauge.report import reportwords
from scribegauge.report.cells import angle_cells, prick_cells, side_cells
from scribegauge.report.reading import Reading
from scribegauge.report.sentences import notes_of, verdict_of
from scribegauge.serve.beforeafter import differences
from scribegauge.serve.bench import Bench
from scribegauge.serve.benchwords import better, reason_words
from scribegauge.serve.choices import choice_of
from scribegauge.serve.entry import Visitor
from scribegauge.serve.entrypages import SEE_OTHER
from scribegauge.serve.forms import photo_form_of, visitor_of
from scribegauge.serve.mend import board_of
from scribegauge.serve.pages import ALONE, bench_of, page, stand_alone
from scribegauge.serve.record import Choice, Plate
from scribegauge.serve.shelf import unknown_plate
from scribegauge.serve.work import report_of
from scribegauge.sheets.shelf import look_at_shelf

SVG, JPEG = "image/svg+xml", "image/jpeg"


async def home(request: Request) -> Response:
    """Show the list of exercises."""
    visitor, bench = visitor_of(request), bench_of(request)
    last = await run_in_threadpool(_last_choice, bench, visitor)
    return page(request, "home", visitor, exercises=bench.exercises.all(), last=last)


async def new_plate(request: Request) -> Response:
    """Show the form for one exercise: sizes, plate, sheet, phone, and the camera."""
    visitor, bench = visitor_of(request), bench_of(request)
    exercise = bench.exercises.named(request.query_params.get("figure", ""))
    last = await run_in_threadpool(_last_choice, bench, visitor)
    sheets = await run_in_threadpool(look_at_shelf, bench.settings.sheet_folder)
    return page(
        request,
        "new",
        visitor,
        exercise=exercise,
        last=last,
        sheets=[(record.name, record.size) for record in sheets.records],
        phones=bench.phones.names(visitor.code),
        again=last if last is not None and last.figure == exercise.value else None,
    )


async def send_plate(request: Request) -> Response:
    """Take a photo in, and go to its page."""
    visitor, bench = visitor_of(request), bench_of(request)
    bench.desk.refuse_if_full()
    fields, photo, digest = await photo_form_of(request, visitor)
    owner = visitor.code
    if visitor.is_teacher and fields.get("pupil", "").strip():
        owner = check_code(fields["pupil"].strip())
    choice = choice_of(fields, bench.exercises)
    bench.desk.refuse_if_full()
    plate = await run_in_threadpool(bench.shelf.put, owner, photo, digest, choice)
    await bench.send(plate)
    return RedirectResponse(f"/plates/{plate.name}", SEE_OTHER)


async def show_plate(request: Request) -> Response:
    """Show what came out, or that it is being read."""
    visitor, bench = visitor_of(request), bench_of(request)
    plate = bench.plate_for(visitor, request.path_params["name"])
    reading = await run_in_threadpool(bench.shelf.reading_of, plate)
    if reading is None:
        await bench.send(plate)
        return page(request, "waiting", visitor, plate=plate, **_waiting(bench, plate))
    shown = await run_in_threadpool(_shown, bench, plate, reading)
    return page(request, "plate", visitor, plate=plate, **shown)


async def tell_state(request: Request) -> Response:
    """Say, for the page's script, whether a plate has been read."""
    bench = bench_of(request)
    plate = bench.plate_for(visitor_of(request), request.path_params["name"])
    done = bench.shelf.file_of(plate, "json").exists()
    return JSONResponse({"done": done, **_waiting(bench, plate)})


async def overlay(request: Request) -> Response:
    """Show the overlay alone, to enlarge at will."""
    return await _file(request, "svg", SVG)


async def view(request: Request) -> Response:
    """Show the plate's picture without anything drawn on it."""
    return await _file(request, "jpg", JPEG)


async def whole_report(request: Request) -> Response:
    """Show the report as ``check --report`` writes it."""
    visitor, bench = visitor_of(request), bench_of(request)
    plate = bench.plate_for(visitor, request.path_params["name"])
    if not bench.shelf.file_of(plate, "json").exists():
        raise unknown_plate()
    name = f"report-{plate.name}-{plate.run.number}"
    answer = await bench.desk.take(name, report_of, bench.errand_of(plate))
    return stand_alone(await answer, f"/plates/{plate.name}")


def plate_facts(reading: Reading) -> dict[str, Any]:
    """Return what every page of a reading shows."""
    return {
        "reading": reading,
        "verdict": verdict_of(reading),
        "sides": side_cells(reading),
        "angles": angle_cells(reading),
        "pricks": prick_cells(reading),
        "notes": notes_of(reading),
        "reasons": [reason_words(reason) for reason in reading.reasons],
        "codes": [reason.code for reason in reading.reasons],
        "better": list(better(reading)),
        "say": reportwords,
        "hinted": [line.side for line in reading.lines if line.hinted and line.side]
        + [f"prick {prick.at}" for prick in reading.pricks if prick.hinted],
    }


def _shown(bench: Bench, plate: Plate, reading: Reading) -> dict[str, Any]:
    before = None
    if len(plate.runs) > 1:
        before = bench.shelf.reading_of(plate, plate.runs[-2])
    return {
        **plate_facts(reading),
        "drawn": bench.shelf.file_of(plate, "svg").exists(),
        "can_mend": bench.shelf.file_of(plate, "jpg").exists()
        and board_of(bench.layout_of(plate), reading) is not None,
        "differences": () if before is None else differences(before, reading),
        "mended": before is not None,
        "before": None if before is None else verdict_of(before).first,
    }


def _waiting(bench: Bench, plate: Plate) -> dict[str, int]:
    place = bench.desk.place_of(plate.task) or 0
    return {"before": max(place - 1, 0), "seconds": round(bench.desk.seconds_for(place))}


def _last_choice(bench: Bench, visitor: Visitor) -> Choice | None:
    """Return what this visitor chose last, for nobody likes to type the same twice."""
    return next((p.choice for p in bench.shelf.all() if p.owner == visitor.code), None)


async def _file(request: Request, ending: str, kind: str) -> Response:
    bench = bench_of(request)
    plate = bench.plate_for(visitor_of(request), request.path_params["name"])
    path = bench.shelf.file_of(plate, ending)
    if not path.exists():
        raise unknown_plate()
    data = await run_in_threadpool(path.read_bytes)
    return Response(data, media_type=kind, headers={"content-security-policy": ALONE})


ROUTES = (
    Route("/", home),
    Route("/new", new_plate),
    Route("/plates", send_plate, methods=["POST"]),
    Route("/plates/{name}", show_plate),
    Route("/plates/{name}/state", tell_state),
    Route("/plates/{name}/overlay.svg", overlay),
    Route("/plates/{name}/view.jpg", view),
    Route("/plates/{name}/report", whole_report),
)
