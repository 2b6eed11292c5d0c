"""What stands above and below the overlay's picture: what came out, and how to read it."""

from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from scribegauge.report import typeface
from scribegauge.report.frame import WIDTH_PX
from scribegauge.report.labels import TEXT_PX
from scribegauge.report.reading import Reading
from scribegauge.report.scene import Scene
from scribegauge.report.strokes import (
    ENLARGED,
    FOUND,
    INTENDED,
    OTHER,
    RED,
    RING,
    UNSEEN,
    Picture,
    Stroke,
    draw_path,
    draw_ring,
    wash,
)
from scribegauge.report.table import typical_side
from scribegauge.report.words import (
    MINUS,
    TIMES,
    class_name,
    decimals_for,
    headline,
    one_line,
    tidy,
    typographic,
)

_PAPER = (250, 250, 247)
_INK = (20, 22, 26)
# A middle tone, so that light strokes look in the key as they do on metal.
_METAL = (122, 116, 92)
_EDGE_PX = 36
_TITLE_PX = 56
_ROW_PX = 60
_KEY_PX = 110
_HEADLINE_ROWS = 3
_TITLE_COLUMNS = 120


@dataclass(frozen=True, slots=True)
class KeyEntry:
    """One line of the key: what it looks like, and what it is."""

    stroke: Stroke
    text: str
    ring: bool = False
    tinted: bool = False


def header(reading: Reading) -> Image.Image:
    """Draw title and headline."""
    title = one_line(reading.title, _TITLE_COLUMNS) or one_line(
        reading.photos[0].name, _TITLE_COLUMNS
    )
    room = WIDTH_PX - 2 * _EDGE_PX
    font, bold = typeface.regular(TEXT_PX), typeface.bold(_TITLE_PX)
    text = tidy(typographic(headline(reading)))
    rows = typeface.wrapped(text, font, room, _HEADLINE_ROWS)
    height = 24 + _TITLE_PX + 20 + _ROW_PX * len(rows) + 14
    image = Image.new("RGB", (WIDTH_PX, height), _PAPER)
    draw = ImageDraw.Draw(image)
    baseline = 24 + _TITLE_PX
    draw.text((_EDGE_PX, baseline), typeface.fitted(title, bold, room), _INK, bold, "ls")
    for k, row in enumerate(rows):
        draw.text((_EDGE_PX, baseline + 10 + _ROW_PX * (k + 1)), row, _INK, font, "ls")
    return image


def footer(reading: Reading, scene: Scene, left_out: tuple[str, ...]) -> Image.Image:
    """Draw the key and the facts."""
    entries = key_of(reading, scene)
    font = typeface.regular(TEXT_PX)
    room = WIDTH_PX - 2 * _EDGE_PX
    facts = _rows(facts_of(reading, left_out), font, room)
    key_rows = (len(entries) + 1) // 2
    height = 20 + _ROW_PX * (key_rows + len(facts)) + 24
    paper = np.full((height, WIDTH_PX, 3), _PAPER, np.uint8)
    places = [_key_place(k) for k in range(len(entries))]
    for entry, (x, y) in zip(entries, places, strict=True):
        _draw_sample(paper, entry, x, y)
    image = Image.fromarray(paper)
    draw = ImageDraw.Draw(image)
    for entry, (x, y) in zip(entries, places, strict=True):
        draw.text((x + _KEY_PX + 20, y), entry.text, _INK, font, "lm")
    for k, row in enumerate(facts):
        middle = 20 + _ROW_PX * (key_rows + k + 0.5) + 6
        draw.text((_EDGE_PX, middle), row, _INK, font, "lm")
    return image


def _key_place(k: int) -> tuple[int, int]:
    return _EDGE_PX + (k % 2) * (WIDTH_PX // 2), 20 + _ROW_PX * (k // 2) + _ROW_PX // 2


def key_of(reading: Reading, scene: Scene) -> list[KeyEntry]:
    """Give the key's entries: only of what is in the picture."""
    entries = [
        (bool(scene.side_lines), KeyEntry(FOUND, "scribed side, as found")),
        (scene.intended is not None, KeyEntry(INTENDED, "figure as intended")),
        (scene.factor > 0, KeyEntry(ENLARGED, _enlarged_text(scene.factor), tinted=True)),
        (any(not e.line_seen for e in scene.edges), KeyEntry(UNSEEN, "side not seen")),
        (bool(reading.pricks), KeyEntry(RING, "prick", ring=True)),
        (bool(scene.other_lines), KeyEntry(OTHER, "line or arc" if reading.arcs else "other line")),
    ]
    return [entry for shown, entry in entries if shown]


def _enlarged_text(factor: int) -> str:
    return "deviation, true size" if factor == 1 else f"deviation, drawn {TIMES}{factor}"


def _draw_sample(paper: Picture, entry: KeyEntry, x: int, y: int) -> None:
    half = _ROW_PX // 2 - 5
    paper[y - half : y + half, x : x + _KEY_PX] = _METAL
    if entry.ring:
        draw_ring(paper, np.array([x + _KEY_PX / 2, y - 0.5]), 14.0, entry.stroke)
        return
    ends = np.array([[x + 4.0, y - 0.5], [x + _KEY_PX - 5.0, y - 0.5]])
    if entry.tinted:
        ends = ends + np.array([0.0, -10.0])
        low = ends[::-1] + np.array([0.0, 26.0])
        wash(paper, np.vstack([ends, low]), RED, 0.4)
    draw_path(paper, ends, entry.stroke)


def facts_of(reading: Reading, left_out: tuple[str, ...]) -> list[str]:
    """Give the short facts below the key; `left_out` names the sides without words."""
    plate = reading.plate
    typical = typical_side(reading.sides)
    parts = []
    if typical is not None and typical.U_mm is not None:
        parts = [f"+ too long, {MINUS} too short"]
        parts.append(f"± is U (k = 2), typically {typical.U_mm:.{decimals_for(typical.U_mm)}f} mm")
    if reading.tolerance_side_mm is not None:
        parts.append(f"allowed ±{reading.tolerance_side_mm:g} mm")
    elif reading.tolerance_class is not None:
        parts.append(f"allowed by {class_name(reading)}")
    if any(side.verdict == "undecided" for side in reading.sides):
        parts.append("undecided: this photo cannot tell")
    parts.append(f"Photo of {_date(reading.photos[0].taken)}")
    if plate is not None:
        parts.append(f"target {plate.target_size}")
    if left_out:
        parts.append(f"no room for the words of {len(left_out)} sides, see the table")
    return parts


def _rows(parts: list[str], font: ImageFont.FreeTypeFont, room_px: float) -> list[str]:
    """Set short facts in rows, a dot between neighbours."""
    rows = [typeface.fitted(parts[0], font, room_px)]
    for part in parts[1:]:
        joined = f"{rows[-1]}  ·  {part}"
        if font.getlength(joined) <= room_px:
            rows[-1] = joined
        else:
            rows.append(typeface.fitted(part, font, room_px))
    return rows


def _date(taken: str | None) -> str:
    """Turn the camera's ``2026:03:04 18:22:01`` into ``2026-03-04 18:22``."""
    if not taken:
        return "unknown date"
    day, _, clock = one_line(taken, 40).replace("T", " ").partition(" ")
    return f"{day.replace(':', '-')} {clock[:5]}".strip()
