"""Which kind of file is written where: the ending of its name tells."""

from pathlib import Path

from scribegauge.photo.record import Photo
from scribegauge.report.frame import straight_frame, taken_frame
from scribegauge.report.htmlfile import write_report
from scribegauge.report.overlay import draw_overlay, write_overlay_svg
from scribegauge.report.pdffile import write_pdf
from scribegauge.report.reading import Reading
from scribegauge.report.refusalpicture import draw_refusal, write_refusal_svg
from scribetarget.paper import PAPERS


def overlay_file(place: Path, photo: Photo | None, reading: Reading, *, as_taken: bool) -> bytes:
    """Draw the overlay, as SVG where the name ends so and else as PNG.

    Parameters
    ----------
    place : Path
    photo : Photo or None
        None where none could be opened.
    reading : Reading
        A refusal is drawn as the photo with the reason above it.
    as_taken : bool
        Whether the photo is shown as it was taken instead of straightened to the plate.
    """
    vector = place.suffix.lower() == ".svg"
    if photo is None or reading.plate is None:
        return write_refusal_svg(photo, reading) if vector else draw_refusal(photo, reading)
    frame = taken_frame(reading) if as_taken else straight_frame(reading)
    write = write_overlay_svg if vector else draw_overlay
    return write(photo, reading, frame)


def report_file(place: Path, photo: Photo | None, reading: Reading, paper: str) -> bytes:
    """Write the report, as PDF where the name ends so and else as a page.

    Parameters
    ----------
    place, photo, reading : as for `overlay_file`
    paper : str
        Name of a paper, in small letters.
    """
    if place.suffix.lower() == ".pdf":
        return write_pdf(photo, reading, PAPERS[paper])
    return write_report(photo, reading)
