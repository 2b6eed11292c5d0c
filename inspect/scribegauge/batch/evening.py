"""All plates of a class, each measured once: what was done before an interruption is not done again.

In the results' folder, ``done/`` holds a small file for every plate that is finished, written after
all its other files; its name changes with the photos and with everything the reading goes by.
"""

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from scribegauge.batch.classfile import Setting
from scribegauge.batch.engines import Lost
from scribegauge.batch.handedin import HandedIn
from scribegauge.batch.job import Job, Outcome, job_of, lost
from scribegauge.errors import FileFormatError
from scribegauge.report.atomic import make_folder, write_aside, write_together
from scribegauge.report.jsonfile import from_json
from scribegauge.report.reading import Reading

Run = Callable[[Sequence[Job]], Iterator[tuple[int, Outcome | Lost]]]


@dataclass(frozen=True, slots=True)
class Finished:
    """One plate, measured or refused, with its files in the results' folder.

    Attributes
    ----------
    pupil, name : str
    reading : Reading
    cure : str
        To be sent to the pupil when the photo was refused.
    sheet, small, json : str
        Names of its files, from the results' folder on; `small` is empty where there is none.
    photos : tuple of str
        Names of the photos, as handed in.
    """

    pupil: str
    name: str
    reading: Reading
    cure: str
    sheet: str
    small: str
    json: str
    photos: tuple[str, ...]

    @property
    def photo(self) -> str:
        """Name the photos in a sentence."""
        return " and ".join(self.photos)


@dataclass(frozen=True, slots=True)
class Evening:
    """Work to do and done: jobs in the order of the plates."""

    jobs: tuple[Job, ...]
    done: Mapping[str, Finished]

    @property
    def left(self) -> tuple[Job, ...]:
        """Jobs that are still to do."""
        return tuple(job for job in self.jobs if job.mark not in self.done)

    @property
    def finished(self) -> tuple[Finished, ...]:
        """Plates that are done, in order."""
        return tuple(self.done[job.mark] for job in self.jobs if job.mark in self.done)


def look_what_is_left(
    handed_in: HandedIn, settings: Mapping[str, Setting], results: Path
) -> Evening:
    """Make a job of every plate, and read back those that are finished.

    Parameters
    ----------
    handed_in : HandedIn
    settings : mapping
        By the pupil's code.
    results : Path
        Folder of the results, perhaps of an earlier run.
    """
    jobs = tuple(job_of(plate, settings[plate.pupil]) for plate in handed_in.plates)
    done = {}
    for job in jobs:
        found = _read_back(results, job)
        if found is not None:
            done[job.mark] = found
    return Evening(jobs, done)


def work_through(
    evening: Evening, results: Path, run: Run, tell: Callable[[Finished], None]
) -> Evening:
    """Measure what is left, and write each plate's files as soon as it is done.

    Parameters
    ----------
    evening : Evening
    results : Path
    run : callable
        Takes jobs and yields (place, outcome) as they come in.
    tell : callable
        Called after each plate.

    Raises
    ------
    UseError
        ``cannot_write``.
    """
    for folder in ("done", "feedback", "overlays", "readings"):
        make_folder(results / folder)
    left, done = evening.left, dict(evening.done)
    for place, outcome in run(left):
        job = left[place]
        finished = _set_down(results, job, lost(job) if isinstance(outcome, Lost) else outcome)
        done[job.mark] = finished
        tell(finished)
    return Evening(evening.jobs, done)


def _set_down(results: Path, job: Job, outcome: Outcome) -> Finished:
    name = f"{job.pupil}-{job.name}"
    small = f"overlays/{name}.jpg" if outcome.small else ""
    finished = Finished(
        *(job.pupil, job.name, from_json(outcome.reading), outcome.cure),
        *(f"feedback/{name}.html", small, f"readings/{name}.json", _names(job)),
    )
    files = [
        (results / finished.sheet, outcome.sheet),
        (results / finished.json, outcome.reading.encode()),
    ]
    files += [(results / small, outcome.small)] if small else []
    write_together(files)
    record = {"json": finished.json, "sheet": finished.sheet, "small": small, "cure": outcome.cure}
    write_aside(_mark_file(results, job), json.dumps(record).encode())
    return finished


def _read_back(results: Path, job: Job) -> Finished | None:
    """Return what was done of a job; None when any of it is missing or spoilt."""
    with suppress(OSError, ValueError, KeyError, TypeError, FileFormatError):
        record = json.loads(_mark_file(results, job).read_text(encoding="utf-8"))
        reading = from_json((results / record["json"]).read_text(encoding="utf-8"))
        for name in filter(None, (record["sheet"], record["small"])):
            (results / name).stat()
        return Finished(
            *(job.pupil, job.name, reading, record["cure"]),
            *(record["sheet"], record["small"], record["json"], _names(job)),
        )
    return None


def _names(job: Job) -> tuple[str, ...]:
    return tuple(photo.name for photo in job.photos)


def _mark_file(results: Path, job: Job) -> Path:
    return results / "done" / f"{job.mark[:32]}.json"
