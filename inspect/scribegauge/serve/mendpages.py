"""Pages for mending by hand, undoing, keeping and removing a plate."""

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from scribegauge.ledger.entries import entry_of
from scribegauge.ledger.plates import keep
from scribegauge.ledger.store import opened
from scribegauge.report.reading import Reading
from scribegauge.serve.bench import Bench
from scribegauge.serve.entry import Visitor
from scribegauge.serve.entrypages import SEE_OTHER
from scribegauge.serve.forms import form_of, visitor_of
from scribegauge.serve.mend import Board, board_of, pointed_at
from scribegauge.serve.pages import bench_of, page
from scribegauge.serve.record import Plate
from scribegauge.serve.refusals import BenchError


async def show_board(request: Request) -> Response:
    """Show the enlarged plate with its sides and pricks to be moved."""
    visitor = visitor_of(request)
    plate, board = await _board(request, visitor)
    return page(request, "mend", visitor, plate=plate, board=board)


async def mend(request: Request) -> Response:
    """Measure again where the person pointed."""
    visitor, bench = visitor_of(request), bench_of(request)
    plate, board = await _board(request, visitor)
    fields = await form_of(request, visitor)
    pointed = pointed_at(fields, board, plate.run.pointed)
    bench.desk.refuse_if_full()
    plate = await run_in_threadpool(bench.shelf.point, plate.name, pointed)
    await bench.send(plate)
    return _to(plate)


async def undo(request: Request) -> Response:
    """Go back to the reading before the last mending."""
    visitor, bench = visitor_of(request), bench_of(request)
    plate = bench.plate_for(visitor, request.path_params["name"])
    await form_of(request, visitor)
    await run_in_threadpool(bench.shelf.undo, plate.name)
    return _to(plate)


async def keep_plate(request: Request) -> Response:
    """Put a reading into the ledger, in place of an earlier one of the same photo."""
    visitor, bench = visitor_of(request), bench_of(request)
    plate = bench.plate_for(visitor, request.path_params["name"])
    fields = await form_of(request, visitor)
    code = plate.owner or fields.get("pupil", "").strip()
    reading = await run_in_threadpool(bench.shelf.reading_of, plate)
    if reading is None:
        raise BenchError("plate_unread", "This photo is still being read.", "Wait, then keep it.")
    await run_in_threadpool(_keep, bench, code, reading)
    await run_in_threadpool(bench.shelf.mark_kept, plate.name, plate.run.number)
    return _to(plate)


async def remove_plate(request: Request) -> Response:
    """Take a plate off the bench, with its photo; what is in the ledger stays there."""
    visitor, bench = visitor_of(request), bench_of(request)
    plate = bench.plate_for(visitor, request.path_params["name"])
    await form_of(request, visitor)
    await run_in_threadpool(bench.shelf.remove, plate.name)
    return RedirectResponse("/plates", SEE_OTHER)


def _keep(bench: Bench, code: str, reading: Reading) -> None:
    entry = entry_of(code, reading)
    with opened(bench.settings.ledger) as connection:
        keep(connection, entry, replace=True)


async def _board(request: Request, visitor: Visitor) -> tuple[Plate, Board]:
    bench = bench_of(request)
    plate = bench.plate_for(visitor, request.path_params["name"])
    reading = await run_in_threadpool(bench.shelf.reading_of, plate)
    board = None if reading is None else board_of(bench.layout_of(plate), reading)
    if board is None or not bench.shelf.file_of(plate, "jpg").exists():
        raise BenchError(
            "nothing_to_mend",
            "There is no picture of this plate, or no figure with sides, to point at.",
            "Take the photo again.",
        )
    return plate, board


def _to(plate: Plate) -> Response:
    return RedirectResponse(f"/plates/{plate.name}", SEE_OTHER)


ROUTES = (
    Route("/plates/{name}/mend", show_board),
    Route("/plates/{name}/mend", mend, methods=["POST"]),
    Route("/plates/{name}/undo", undo, methods=["POST"]),
    Route("/plates/{name}/keep", keep_plate, methods=["POST"]),
    Route("/plates/{name}/remove", remove_plate, methods=["POST"]),
)
