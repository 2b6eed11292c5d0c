"""Pages for one's own plates over the weeks: the list, what is in the ledger, the charts."""

from collections.abc import Sequence
from dataclasses import dataclass

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from scribegauge.errors import UseError
from scribegauge.ledger.entries import reading_in
from scribegauge.ledger.plates import attempts, entries, pupils
from scribegauge.ledger.record import Entry
from scribegauge.ledger.store import opened
from scribegauge.progress.page import progress_page
from scribegauge.progress.record import Attempt
from scribegauge.report.sentences import verdict_of
from scribegauge.serve.bench import Bench
from scribegauge.serve.entry import Visitor
from scribegauge.serve.forms import visitor_of
from scribegauge.serve.pages import bench_of, page, stand_alone
from scribegauge.serve.platepages import plate_facts
from scribegauge.serve.record import Plate
from scribegauge.serve.refusals import BenchError
from scribegauge.serve.shelf import unknown_plate

#: More rows than this nobody scrolls through on a phone; the ledger has all.
MOST_ROWS = 60
_NOTHING_KEPT = {"ledger_missing", "pupil_unknown"}


@dataclass(frozen=True, slots=True)
class Row:
    """One plate of the list."""

    link: str
    day: str
    pupil: str
    title: str
    words: str
    state: str


async def list_plates(request: Request) -> Response:
    """Show the visitor's plates, or for the teacher those of a pupil or of all."""
    visitor, bench = visitor_of(request), bench_of(request)
    pupil = _pupil(request, visitor)
    rows = await run_in_threadpool(_rows, bench, visitor, pupil)
    known = await run_in_threadpool(_pupils, bench) if visitor.is_teacher else ()
    return page(request, "plates", visitor, rows=rows, pupil=pupil, pupils=known)


async def show_kept(request: Request) -> Response:
    """Show a plate of the ledger whose photo is not on the bench."""
    visitor, bench = visitor_of(request), bench_of(request)
    entry = await run_in_threadpool(_entry, bench, visitor, request.path_params["sha"])
    reading = reading_in(entry)
    return page(request, "kept", visitor, entry=entry, **plate_facts(reading))


async def show_progress(request: Request) -> Response:
    """Show one pupil's charts, as ``scribegauge progress --report`` writes them."""
    visitor, bench = visitor_of(request), bench_of(request)
    pupil = _pupil(request, visitor)
    made = await run_in_threadpool(_attempts, bench, pupil)
    if not made:
        raise BenchError(
            "nothing_kept",
            "No plate has been kept yet.",
            "Open a plate that was read, and keep it; from then on it counts.",
        )
    html = await run_in_threadpool(progress_page, pupil, made)
    return stand_alone(html, "/plates")


def _pupil(request: Request, visitor: Visitor) -> str:
    """Return whose plates are meant; a pupil's own, whatever the address says."""
    return request.query_params.get("pupil", "")[:40] if visitor.is_teacher else visitor.code


def _rows(bench: Bench, visitor: Visitor, pupil: str) -> list[Row]:
    plates = [each for each in bench.shelf.all() if visitor.may_see(each.owner)]
    if pupil:
        plates = [each for each in plates if each.owner == pupil]
    shown = [_bench_row(bench, plate) for plate in plates[:MOST_ROWS]]
    there = {plate.sha256 for plate in plates}
    kept = _kept(bench, pupil) if pupil or visitor.is_teacher else ()
    shown += [_kept_row(entry) for entry in kept if not there & set(entry.photos)]
    return sorted(shown, key=lambda row: row.day, reverse=True)[:MOST_ROWS]


def _bench_row(bench: Bench, plate: Plate) -> Row:
    reading = bench.shelf.reading_of(plate)
    if reading is None:
        words, state = "being read", ""
    else:
        words = verdict_of(reading).first
        state = "kept" if plate.kept == plate.run.number else "not kept"
        state = "take again" if reading.status == "refused" else state
    title = bench.layout_of(plate).title
    return Row(f"/plates/{plate.name}", plate.sent[:10], plate.owner, title, words, state)


def _kept_row(entry: Entry) -> Row:
    link = f"/kept/{entry.photos[0]}"
    words = verdict_of(reading_in(entry)).first
    return Row(link, entry.made.isoformat(), entry.pupil, entry.title, words, "kept")


def _kept(bench: Bench, pupil: str) -> Sequence[Entry]:
    try:
        with opened(bench.settings.ledger, must_exist=True) as connection:
            found = list(entries(connection, pupil or None))
    except UseError as error:
        if error.code in _NOTHING_KEPT:
            return ()
        raise
    return sorted(found, key=lambda entry: entry.made, reverse=True)[:MOST_ROWS]


def _entry(bench: Bench, visitor: Visitor, sha: str) -> Entry:
    own = _kept(bench, visitor.code)
    found = next((entry for entry in own if sha in entry.photos), None)
    if found is None:
        raise unknown_plate()
    return found


def _attempts(bench: Bench, pupil: str) -> Sequence[Attempt]:
    try:
        with opened(bench.settings.ledger, must_exist=True) as connection:
            return attempts(connection, pupil)
    except UseError as error:
        if error.code in _NOTHING_KEPT:
            return ()
        raise


def _pupils(bench: Bench) -> tuple[str, ...]:
    codes = {plate.owner for plate in bench.shelf.all() if plate.owner} | set(bench.ring.codes)
    try:
        with opened(bench.settings.ledger, must_exist=True) as connection:
            codes |= {line.pupil for line in pupils(connection)}
    except UseError as error:
        if error.code not in _NOTHING_KEPT:
            raise
    return tuple(sorted(codes))


ROUTES = (
    Route("/plates", list_plates),
    Route("/kept/{sha}", show_kept),
    Route("/progress", show_progress),
)
