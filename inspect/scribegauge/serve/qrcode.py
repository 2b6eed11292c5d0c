"""A link as a code to scan: for a terminal, and for a page."""

from html import escape
from itertools import zip_longest

import cv2
import numpy as np
from markupsafe import Markup
from numpy.typing import NDArray

#: White all round, in modules; fewer and scanners miss it (ISO/IEC 18004, 6.3.8).
QUIET = 4


def qr_modules(text: str) -> NDArray[np.bool_]:
    """Return the code of a text, (n, n), True where black, quiet zone included."""
    encoder = cv2.QRCodeEncoder.create()
    picture = np.asarray(encoder.encode(text))
    # OpenCV's own margin differs between versions.
    rows, columns = (np.flatnonzero((picture < 128).any(axis=k)) for k in (1, 0))  # noqa: PLR2004
    black = picture[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1] < 128  # noqa: PLR2004
    return np.pad(black, QUIET)


def qr_text(text: str) -> str:
    """Return the code in half blocks, dark ink on light ground whatever the terminal's colours."""
    modules = qr_modules(text)
    rows = []
    for upper, lower in zip_longest(modules[::2], modules[1::2]):
        below = np.zeros_like(upper) if lower is None else lower
        cells = [" ▄▀█"[2 * (not a) + (not b)] for a, b in zip(upper, below, strict=True)]
        rows.append("\x1b[97;40m" + "".join(cells) + "\x1b[0m")
    return "\n".join(rows) + "\n"


def qr_svg(text: str, title: str) -> Markup:
    """Return the code as one ``svg`` element."""
    modules = qr_modules(text)
    size = len(modules)
    path = "".join(f"M{x} {y}h1v1h-1z" for y, x in np.argwhere(modules))
    return Markup(  # noqa: S704 - the title is escaped, the rest are numbers
        f'<svg class="qr" viewBox="0 0 {size} {size}" role="img" shape-rendering="crispEdges">'
        f"<title>{escape(title)}</title>"
        f'<path fill="#fff" d="M0 0h{size}v{size}H0z"/><path fill="#000" d="{path}"/></svg>'
    )
