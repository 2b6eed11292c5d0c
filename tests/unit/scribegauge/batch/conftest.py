"""An evening of a made-up class: photos are any bytes, and readings come from a list."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from scribegauge.batch.classfile import ClassFile, Setting
from scribegauge.batch.job import Job, Outcome
from scribegauge.figure.layoutfile import read_layout
from scribegauge.figure.request import Request
from scribegauge.report.jsonfile import to_json
from scribegauge.report.reading import Reading, Reason
from scribegauge.report.refusal import refusal
from scribegauge.simulate.winter import Hand, practise

LAYOUT = "layout = 1\ntitle = 'Square'\n[polygon]\nvertices_mm = [[0,0],[40,0],[40,40],[0,40]]\n"
CODES = ("A-01", "A-02", "A-03", "A-04", "A-12")


def small_picture() -> bytes:
    stream = BytesIO()
    Image.new("RGB", (60, 40), "grey").save(stream, "JPEG")
    return stream.getvalue()


@pytest.fixture
def what() -> ClassFile:
    request = Request(read_layout(LAYOUT, "square.toml"), 0.8, ((100.1, 99.9),), None)
    settings = {code: Setting(request, "digest") for code in CODES}
    return ClassFile("Evening class in clockmaking", date(2024, 10, 6), settings)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Photos of four pupils, one of them twice, and one of nobody."""
    monday = tmp_path / "monday"
    for name in (
        *("A-01 square.jpg", "a-02_square.JPG", "A-03/first.jpg", "A-03/two/left.jpg"),
        *("A-03/two/right.jpg", "A-04/blurred.png", "holiday.jpg", "A-04/list.txt"),
    ):
        path = monday / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(name.encode())
    return monday


def refused(title: str) -> Reading:
    reason = Reason("blurred", "The photo is out of focus. Hold the phone still.")
    return refusal((reason,), title, (), "scribegauge")


Measure = Callable[[Job], Outcome]


@pytest.fixture
def measure() -> Measure:
    """Return a stand-in for measuring: a reading by the pupil's code, a refusal of one photo."""

    def outcome(job: Job) -> Outcome:
        if job.photos[0].name == "blurred.png":
            return Outcome(to_json(refused("Square")), "Hold the phone still.", b"<p>no</p>", b"")
        (reading,) = practise(Hand(0.08), 1, seed=sum(job.pupil.encode()))
        shas = tuple(replace(reading.photos[0], sha256=f"{job.mark[:32]}{k:032}") for k in range(1))
        reading = replace(reading, photos=shas)
        return Outcome(to_json(reading), "", b"<p>sheet</p>", small_picture())

    return outcome


@pytest.fixture
def run(measure: Measure) -> Callable[[Sequence[Job]], Iterator[tuple[int, Outcome]]]:
    """Return an engine that does the work here, the last job first."""

    def engine(jobs: Sequence[Job]) -> Iterator[tuple[int, Outcome]]:
        for place in reversed(range(len(jobs))):
            yield place, measure(jobs[place])

    return engine
