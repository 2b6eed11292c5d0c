"""What stands above and below the overlay's picture: what came out, and how to read it."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from PIL import ImageFont

from scribegauge.report import overlaywords as said
from scribegauge.report import typeface
from scribegauge.report.drawing import Area, Drawing, Path, Points, Ring, Shape, Words, arrow_head
from scribegauge.report.drawingstyle import (
    ARROW,
    ENLARGED,
    FOUND,
    HEAD,
    INK,
    INTENDED,
    METAL,
    OTHER,
    PAPER,
    RING,
    SIGNAL,
    STEP,
    UNSEEN,
    WASH_STRENGTH,
    Stroke,
)
from scribegauge.report.frame import WIDTH_PX
from scribegauge.report.labels import TEXT_PX
from scribegauge.report.reading import Reading
from scribegauge.report.scene import Scene, wrong_step
from scribegauge.report.words import headline, one_line, tidy, typographic

EDGE_PX = 36
_TITLE_PX = 56
_ROW_PX = 60
_KEY_PX = 110
_HEADLINE_ROWS = 3
_STEP_ROWS = 2
_TITLE_COLUMNS = 120


@dataclass(frozen=True, slots=True)
class KeyEntry:
    """One line of the key: what it looks like, and what it is."""

    stroke: Stroke
    text: str
    ring: bool = False
    tinted: bool = False


def header(reading: Reading) -> Drawing:
    """Draw title, headline and where the construction's error entered."""
    title = one_line(reading.title, _TITLE_COLUMNS) or one_line(
        reading.photos[0].name, _TITLE_COLUMNS
    )
    room = WIDTH_PX - 2 * EDGE_PX
    font = typeface.regular(TEXT_PX)
    text = tidy(typographic(headline(reading)))
    rows = typeface.wrapped(text, font, room, _HEADLINE_ROWS)
    step = wrong_step(reading)
    if step is not None:
        rows += typeface.wrapped(said.wrong_step_sentence(step), font, room, _STEP_ROWS)
    baseline = 24 + _TITLE_PX
    heading = typeface.fitted(title, typeface.bold(_TITLE_PX), room)
    shapes = [_row(heading, (EDGE_PX, baseline), _TITLE_PX, bold=True)]
    for k, row in enumerate(rows):
        shapes.append(_row(row, (EDGE_PX, baseline + 10 + _ROW_PX * (k + 1)), TEXT_PX))
    height = 24 + _TITLE_PX + 20 + _ROW_PX * len(rows) + 14
    return Drawing(WIDTH_PX, height, tuple(shapes), PAPER)


def _row(text: str, at: tuple[float, float], size_px: float, *, bold: bool = False) -> Words:
    room = WIDTH_PX - at[0] - EDGE_PX / 2
    return Words(text, at, size_px, INK, bold=bold, room_px=room)


def footer(reading: Reading, scene: Scene, left_out: tuple[str, ...]) -> Drawing:
    """Draw the key and the facts."""
    entries = key_of(reading, scene)
    font = typeface.regular(TEXT_PX)
    facts = _rows(said.facts_of(reading, left_out), font, WIDTH_PX - 2 * EDGE_PX)
    key_rows = (len(entries) + 1) // 2
    shapes: list[Shape] = []
    for k, entry in enumerate(entries):
        x, y = _key_place(k)
        shapes += _sample(entry, x, y)
        foot = (x + _KEY_PX + 20.0, y + 0.35 * TEXT_PX)
        shapes.append(Words(entry.text, foot, TEXT_PX, INK, room_px=WIDTH_PX / 2 - _KEY_PX - 70))
    for k, row in enumerate(facts):
        middle = 20 + _ROW_PX * (key_rows + k + 0.5) + 6
        shapes.append(_row(row, (EDGE_PX, middle + 0.35 * TEXT_PX), TEXT_PX))
    height = 20 + _ROW_PX * (key_rows + len(facts)) + 24
    return Drawing(WIDTH_PX, height, tuple(shapes), PAPER)


def _key_place(k: int) -> tuple[int, int]:
    return EDGE_PX + (k % 2) * (WIDTH_PX // 2), 20 + _ROW_PX * (k // 2) + _ROW_PX // 2


def key_of(reading: Reading, scene: Scene) -> list[KeyEntry]:
    """Give the key's entries: only of what is in the picture."""
    wrong = scene.wrong
    entries = [
        (bool(scene.side_lines), KeyEntry(FOUND, said.FOUND)),
        (scene.intended is not None, KeyEntry(INTENDED, said.INTENDED)),
        (scene.factor > 0, KeyEntry(ARROW, said.enlarged(scene.factor), tinted=True)),
        (any(not e.line_seen for e in scene.edges), KeyEntry(UNSEEN, said.UNSEEN)),
        (bool(reading.pricks), KeyEntry(RING, said.PRICK, ring=True)),
        (bool(scene.other_lines), KeyEntry(OTHER, said.other_marks(reading))),
    ]
    shown = [entry for present, entry in entries if present]
    return shown if wrong is None else [*shown, KeyEntry(STEP, said.wrong_step_key(wrong.step))]


def _sample(entry: KeyEntry, x: int, y: int) -> Iterator[Shape]:
    half = _ROW_PX // 2 - 5
    ground = [[x, y - half], [x + _KEY_PX, y - half], [x + _KEY_PX, y + half], [x, y + half]]
    yield Area(np.array(ground) - 0.5, METAL)
    if entry.ring:
        yield Ring(np.array([x + _KEY_PX / 2, y - 0.5]), 14.0, entry.stroke)
        return
    ends = np.array([[x + 4.0, y - 0.5], [x + _KEY_PX - 5.0, y - 0.5]])
    if not entry.tinted:
        yield Path(ends, entry.stroke)
        return
    edge = ends + np.array([0.0, -14.0])
    yield Area(np.vstack([edge, edge[::-1] + np.array([0.0, 28.0])]), SIGNAL, WASH_STRENGTH)
    yield Path(edge, ENLARGED)
    yield from arrow(np.array([[x + 24.0, y + 10.0], [x + _KEY_PX - 24.0, y - 6.0]]))


def arrow(ends: Points) -> Iterator[Shape]:
    """Draw a deviation from tail to tip (2, 2)."""
    step = ends[1] - ends[0]
    length = float(np.hypot(*step))
    along = step / max(length, 1e-9)
    size = min(30.0, 0.8 * length)
    yield Path(np.array([ends[0], ends[1] - 0.8 * size * along]), ARROW)
    yield Area(arrow_head(ends[1], along, size), SIGNAL, edge=HEAD)


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
