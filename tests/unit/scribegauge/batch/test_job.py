"""One plate by itself: no photo ends the evening."""

from dataclasses import replace
from pathlib import Path

import pytest

from scribegauge.batch import job as job_module
from scribegauge.batch.classfile import ClassFile
from scribegauge.batch.handedin import Plate
from scribegauge.batch.job import Job, job_of, lost, measure_here, measure_sent, send
from scribegauge.report.jsonfile import from_json


@pytest.fixture
def job(tmp_path: Path, what: ClassFile) -> Job:
    photo = tmp_path / "A-01.jpg"
    photo.write_bytes(b"not a photo")
    return job_of(Plate("A-01", "plate", (photo,), ("0" * 64,)), what.settings["A-01"])


def test_the_mark_changes_with_photos_and_settings(job: Job, what: ClassFile) -> None:
    plate = Plate("A-01", "plate", job.photos, ("0" * 64,))
    setting = what.settings["A-01"]
    assert job_of(plate, setting).mark == job.mark
    assert job_of(replace(plate, shas=("1" * 64,)), setting).mark != job.mark
    assert job_of(plate, replace(setting, digest="other")).mark != job.mark
    assert job_of(replace(plate, pupil="A-02"), setting).mark != job.mark


def test_what_is_no_photo_is_refused_with_its_cure(job: Job) -> None:
    outcome = measure_here(job)
    reading = from_json(outcome.reading)
    assert reading.status == "refused"
    assert reading.reasons[0].code == "photo_unreadable"
    assert outcome.cure in reading.reasons[0].text
    assert outcome.sheet.startswith(b"<!DOCTYPE html>")
    assert measure_sent(send(job)) == outcome


def test_a_photo_that_is_gone_is_refused(job: Job) -> None:
    job.photos[0].unlink()
    (reason,) = from_json(measure_here(job).reading).reasons
    assert reason.code == "photo_gone"


def test_a_fault_of_the_program_is_that_plate_s_alone(
    job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("of some kind")

    monkeypatch.setattr(job_module, "photo_from_bytes", broken)
    (reason,) = from_json(measure_here(job).reading).reasons
    assert reason.code == "program_fault"
    assert "ZeroDivisionError: of some kind" in reason.text


def test_a_lost_worker_is_said(job: Job) -> None:
    assert from_json(lost(job).reading).reasons[0].code == "worker_lost"
