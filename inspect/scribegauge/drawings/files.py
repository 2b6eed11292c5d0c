"""Pages as the file that its ending asks for."""

from collections.abc import Sequence

from scribegauge.drawings.dxffile import to_dxf
from scribegauge.drawings.pdffile import to_pdf
from scribegauge.drawings.pngfile import to_png
from scribegauge.drawings.record import Page
from scribegauge.drawings.svgfile import to_svg
from scribegauge.errors import UseError

ENDINGS = (".svg", ".png", ".pdf", ".dxf")


def drawing_file(pages: Sequence[Page], ending: str, title: str, px_per_mm: float) -> bytes:
    """Return pages as a file.

    Parameters
    ----------
    pages : sequence of Page
        A picture is of the first alone, and DXF takes a page of one part at true scale.
    ending : str
        ``.svg``, ``.png``, ``.pdf`` or ``.dxf``.
    title : str
    px_per_mm : float
        Of a picture.

    Raises
    ------
    UseError
        ``drawing_ending``, ``library_missing``.
    """
    match ending.lower():
        case ".svg":
            return to_svg(pages, title).encode()
        case ".png":
            return to_png(pages[0], px_per_mm)
        case ".pdf":
            return to_pdf(pages, title)
        case ".dxf":
            if [block.scale for page in pages for block in page.blocks] != [1.0]:
                raise UseError(
                    "drawing_ending",
                    "A DXF file holds one figure at true scale, and these are many.",
                    f"Name one figure, or end the file's name in one of {', '.join(ENDINGS[:-1])}.",
                )
            return to_dxf(pages[0].blocks[0].items).encode()
    raise UseError(
        "drawing_ending",
        f"{ending or 'A name without an ending'} is no drawing that can be written.",
        f"End the file's name in one of {', '.join(ENDINGS)}.",
    )
