"""The files that an evening leaves: page, table, contact sheet, photos to take again."""

from collections.abc import Sequence
from pathlib import Path

from scribegauge.batch.again import again_text
from scribegauge.batch.classfile import ClassFile
from scribegauge.batch.classpage import class_page, class_table, contact_sheet, results_of
from scribegauge.batch.evening import Finished
from scribegauge.batch.handedin import HandedIn
from scribegauge.report.atomic import write_together


def lay_out(
    what: ClassFile, handed_in: HandedIn, finished: Sequence[Finished], folder: Path
) -> Path:
    """Write everything and return the page's file.

    Parameters
    ----------
    what : ClassFile
    handed_in : HandedIn
    finished : sequence of Finished
        In the order of the plates.
    folder : Path
        Of the results.

    Raises
    ------
    UseError
        ``cannot_write``.
    """
    results = results_of(what, handed_in, finished)
    page = folder / "class.html"
    files = [
        (page, class_page(results, folder)),
        (folder / "results.csv", class_table(results)),
        (folder / "again.txt", again_text(results.again).encode()),
    ]
    sheet = contact_sheet(results, folder)
    files += [(folder / "contact-sheet.jpg", sheet)] if sheet else []
    write_together(files)
    return page
