"""Each plate once: after Ctrl-C, after a kill, after a change; and what is left behind."""

import csv
import io
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from scribegauge.batch.classfile import ClassFile
from scribegauge.batch.engines import Lost
from scribegauge.batch.evening import Evening, look_what_is_left, work_through
from scribegauge.batch.handedin import HandedIn, look_through
from scribegauge.batch.job import Job, Outcome
from scribegauge.batch.keep import keep_evening
from scribegauge.batch.layout import lay_out
from scribegauge.ledger.plates import pupils
from scribegauge.ledger.store import opened

Engine = Callable[[Sequence[Job]], Iterator[tuple[int, Outcome]]]


@pytest.fixture
def handed_in(folder: Path, what: ClassFile) -> HandedIn:
    return look_through(folder, list(what.settings))


@pytest.fixture
def results(tmp_path: Path) -> Path:
    return tmp_path / "results"


@pytest.fixture
def evening(handed_in: HandedIn, what: ClassFile, results: Path) -> Evening:
    return look_what_is_left(handed_in, what.settings, results)


def silent(_finished: object) -> None:
    return


def test_all_plates_are_done_in_the_order_of_the_class(
    evening: Evening, results: Path, run: Engine
) -> None:
    told: list[str] = []
    done = work_through(evening, results, run, lambda each: told.append(each.pupil))
    assert [each.pupil for each in done.finished] == ["A-01", "A-02", "A-03", "A-03", "A-04"]
    assert told == ["A-04", "A-03", "A-03", "A-02", "A-01"]
    assert done.left == ()
    for each in done.finished:
        assert (results / each.sheet).is_file()
        assert (results / each.json).is_file()
    assert done.finished[3].photo == "left.jpg and right.jpg"


def test_an_interrupted_evening_goes_on_where_it_was(
    handed_in: HandedIn, what: ClassFile, evening: Evening, results: Path, run: Engine
) -> None:
    whole = work_through(evening, results.with_name("whole"), run, silent)

    def stopped(jobs: Sequence[Job]) -> Iterator[tuple[int, Outcome]]:
        for number, row in enumerate(run(jobs)):
            if number == 2:
                raise KeyboardInterrupt
            yield row

    with pytest.raises(KeyboardInterrupt):
        work_through(evening, results, stopped, silent)
    again = look_what_is_left(handed_in, what.settings, results)
    assert len(again.left) == 3
    asked: list[str] = []

    def counting(jobs: Sequence[Job]) -> Iterator[tuple[int, Outcome]]:
        asked.extend(job.mark for job in jobs)
        yield from run(jobs)

    done = work_through(again, results, counting, silent)
    assert asked == [job.mark for job in again.left]
    assert done.finished == whole.finished
    assert look_what_is_left(handed_in, what.settings, results).finished == whole.finished


@pytest.mark.parametrize("place", ["done", "feedback", "overlays", "readings"])
def test_half_written_plates_are_measured_again(
    place: str, handed_in: HandedIn, what: ClassFile, evening: Evening, results: Path, run: Engine
) -> None:
    work_through(evening, results, run, silent)
    next(iter(sorted((results / place).iterdir()))).unlink()
    assert len(look_what_is_left(handed_in, what.settings, results).left) == 1


def test_a_spoilt_record_is_measured_again(
    handed_in: HandedIn, what: ClassFile, evening: Evening, results: Path, run: Engine
) -> None:
    work_through(evening, results, run, silent)
    for spoilt, path in zip(("", "[]", "{}"), sorted((results / "done").iterdir()), strict=False):
        path.write_text(spoilt)
    assert len(look_what_is_left(handed_in, what.settings, results).left) == 3


def test_another_setting_or_photo_is_measured_anew(
    folder: Path, what: ClassFile, evening: Evening, results: Path, run: Engine
) -> None:
    work_through(evening, results, run, silent)
    settings = dict(what.settings)
    settings["A-01"] = replace(settings["A-01"], digest="other")
    (folder / "A-04" / "blurred.png").write_bytes(b"taken again")
    left = look_what_is_left(look_through(folder, list(settings)), settings, results).left
    assert [job.pupil for job in left] == ["A-01", "A-04"]


def test_a_job_that_ends_its_worker_is_refused_and_stops_nothing(
    evening: Evening, results: Path, run: Engine
) -> None:
    def losing(jobs: Sequence[Job]) -> Iterator[tuple[int, Outcome | Lost]]:
        for place, outcome in run(jobs):
            yield place, Lost() if place == 1 else outcome

    done = work_through(evening, results, losing, silent)
    assert [each.reading.status for each in done.finished] == [
        *("measured", "refused", "measured", "measured", "refused"),
    ]
    assert done.finished[1].reading.reasons[0].code == "worker_lost"


def test_what_an_evening_leaves(
    handed_in: HandedIn, what: ClassFile, evening: Evening, results: Path, run: Engine
) -> None:
    done = work_through(evening, results, run, silent)
    page = lay_out(what, handed_in, done.finished, results).read_text()
    assert "4 of 5 plates measured; 1 photo to be taken again; nothing yet from A-12." in page
    assert "holiday.jpg" in page
    assert page.count(", late</td>") == 4  # made on the 7th, due on the 6th
    links = re.findall(r'href="(feedback/[^"]*)"', page)
    assert {results / link for link in links} == set((results / "feedback").iterdir())
    again = (results / "again.txt").read_text()
    assert again == (
        "A-04\nYour photo blurred.png cannot be judged. The photo is out of focus. Hold the phone "
        "still. Please take it again.\n"
    )
    rows = list(csv.DictReader(io.StringIO((results / "results.csv").read_text())))
    assert [row["pupil"] for row in rows] == ["A-01", "A-02", "A-03", "A-03", "A-04"]
    assert float(rows[0]["side_rms_mm"]) > 0
    assert (rows[4]["status"], rows[4]["side_rms_mm"]) == ("refused", "")
    assert rows[4]["sentence"] in again
    with Image.open(results / "contact-sheet.jpg") as sheet:
        assert sheet.size[0] == 4 * 420


def test_an_evening_is_kept_once(
    evening: Evening, results: Path, run: Engine, tmp_path: Path
) -> None:
    done = work_through(evening, results, run, silent)
    file = tmp_path / "ledger.sqlite3"
    assert keep_evening(done.finished, file) == ("4 new, 0 there already", ())
    assert keep_evening(done.finished, file) == ("0 new, 4 there already", ())
    other = tuple(replace(each, pupil="A-12") for each in done.finished)
    words, troubles = keep_evening(other, file)
    assert words == "0 new, 0 there already"
    assert len(troubles) == 4
    assert "kept already as a plate of A-01" in troubles[0]
    with opened(file) as ledger:
        assert [(line.pupil, line.plates) for line in pupils(ledger)] == [
            *(("A-01", 1), ("A-02", 1), ("A-03", 2)),
        ]
