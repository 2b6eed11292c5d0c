"""A class's evening on one page, as a table for a spreadsheet, and as a sheet of overlays."""

import base64
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from io import BytesIO
from pathlib import Path

from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined
from PIL import Image, ImageDraw

from scribegauge.batch.again import Again, photos_again
from scribegauge.batch.classfile import ClassFile
from scribegauge.batch.evening import Finished
from scribegauge.batch.handedin import HandedIn
from scribegauge.progress.classspread import ClassSpread, class_spread
from scribegauge.progress.measures import MEASURES, Measure, kind_of
from scribegauge.progress.page import measured_words
from scribegauge.progress.record import Attempt, Measured, Score
from scribegauge.progress.score import score_of
from scribegauge.progress.suggest import suggest
from scribegauge.report.csvfile import Cell, to_csv
from scribegauge.report.reading import Reading
from scribegauge.report.words import decimals_for

CSV_COLUMNS = (
    *("pupil", "photo", "made", "status", "verdict", "grade", "within", "outside", "undecided"),
    *("not_seen", "side_rms_mm", "U_side_rms_mm", "side_largest_mm", "U_side_largest_mm"),
    *("angle_rms_deg", "U_angle_rms_deg", "late", "reasons", "sentence"),
)
_TILE_PX, _TILES_ACROSS = (420, 420), 4


@dataclass(frozen=True, slots=True)
class Row:
    """One plate in the table."""

    finished: Finished
    made: str
    late: bool
    word: str
    score: Score | None
    grade: str
    not_seen: int
    needs: str


@dataclass(frozen=True, slots=True)
class Compared:
    """One number over the class."""

    measure: Measure
    spread: ClassSpread
    sentence: str


@dataclass(frozen=True, slots=True)
class ClassResults:
    """Everything that page and table show."""

    title: str
    due: date | None
    rows: tuple[Row, ...]
    again: tuple[Again, ...]
    missing: tuple[str, ...]
    strangers: tuple[str, ...]
    twins: tuple[tuple[str, str], ...]
    compared: tuple[Compared, ...]
    faults: tuple[str, ...]


def results_of(what: ClassFile, handed_in: HandedIn, finished: Sequence[Finished]) -> ClassResults:
    """Put together what came of an evening.

    Parameters
    ----------
    what : ClassFile
    handed_in : HandedIn
    finished : sequence of Finished
    """
    rows = tuple(_row(each, what.due) for each in finished)
    return ClassResults(
        what.title,
        what.due,
        rows,
        photos_again(finished),
        handed_in.missing,
        handed_in.strangers,
        handed_in.twins,
        tuple(_compared(rows)),
        _common_faults(rows),
    )


def class_page(results: ClassResults, folder: Path) -> bytes:
    """Write the page; small pictures are within, feedback sheets are linked.

    Parameters
    ----------
    results : ClassResults
    folder : Path
        Of the results, to take the pictures from.
    """
    pictures = {
        row.finished.small: _uri((folder / row.finished.small).read_bytes())
        for row in results.rows
        if row.finished.small
    }
    template = _environment().get_template("class.html.j2")
    return template.render(results=results, pictures=pictures).encode()


def class_table(results: ClassResults) -> bytes:
    """Write a row for each plate, for a spreadsheet."""
    sentences = {(row.pupil, row.photo): row.sentence for row in results.again}
    return to_csv(CSV_COLUMNS, [_cells(row, sentences) for row in results.rows])


def contact_sheet(results: ClassResults, folder: Path) -> bytes:
    """Lay all overlays side by side in one picture (JPEG), each with its code; empty without any."""
    shown = [row.finished for row in results.rows if row.finished.small]
    if not shown:
        return b""
    wide, high = _TILE_PX
    across = min(len(shown), _TILES_ACROSS)
    down = -(-len(shown) // across)
    sheet = Image.new("RGB", (across * wide, down * (high + 24)), "white")
    pen = ImageDraw.Draw(sheet)
    for k, each in enumerate(shown):
        left, top = k % across * wide, k // across * (high + 24)
        with Image.open(folder / each.small) as picture:
            picture.thumbnail((wide - 8, high - 8))
            sheet.paste(picture, (left + 4, top + 22))
        pen.text((left + 6, top + 4), f"{each.pupil}  {each.photo}", fill="black")
    stream = BytesIO()
    sheet.save(stream, "JPEG", quality=82)
    return stream.getvalue()


def verdict_word(reading: Reading) -> str:
    """Say in a word what came of a plate."""
    if reading.status == "refused":
        return "again"
    words = {side.verdict for side in reading.sides} | {a.verdict for a in reading.angles}
    if any(side.measured_mm is None for side in reading.sides):
        return "outside" if "outside" in words else "in part"
    return next((w for w in ("outside", "undecided", "within") if w in words), "measured")


def _row(each: Finished, due: date | None) -> Row:
    reading = each.reading
    taken = reading.photos[0].taken if reading.photos else None
    made = (taken or "")[:10]
    late = bool(due and made and made > due.isoformat())
    grade = " or ".join(reading.grade.possible) if reading.grade is not None else ""
    unseen = sum(side.measured_mm is None for side in reading.sides)
    if reading.status == "refused":
        return Row(each, made, late, "again", None, "", 0, "")
    score = score_of(reading)
    needs = suggest((Attempt(each.pupil, due or date(2000, 1, 1), score),), ()).exercise
    return Row(each, made, late, verdict_word(reading), score, grade, unseen, needs)


def _compared(rows: Sequence[Row]) -> list[Compared]:
    found = []
    for measure in MEASURES:
        numbers = _numbers(measure, rows)
        spread = class_spread(numbers)
        if spread is not None:
            found.append(Compared(measure, spread, _spread_sentence(measure, spread)))
    return found


def _numbers(measure: Measure, rows: Sequence[Row]) -> dict[str, Measured]:
    """Return each pupil's number, of their first plate of the figure that most have made.

    Plates of different figures or sizes do not compare: one is harder than the other.
    """
    made = Counter(_exercise(row.score) for row in rows if row.score is not None)
    if not made:
        return {}
    exercise = made.most_common(1)[0][0]
    numbers: dict[str, Measured] = {}
    for row in rows:
        number = None if row.score is None else measure.take(row.score)
        if number is not None and row.score is not None and _exercise(row.score) == exercise:
            numbers.setdefault(row.finished.pupil, number)
    return numbers


def _exercise(score: Score) -> tuple[str, float]:
    return kind_of(score), round(score.size_mm, 1)


def _spread_sentence(measure: Measure, spread: ClassSpread) -> str:
    digits = min(decimals_for(spread.U_mean), 3)
    unit = "°" if measure.unit == "°" else f" {measure.unit}"
    start = (
        f"{measure.words.capitalize()}: {spread.mean:.{digits}f} ± {spread.U_mean:.{digits}f}{unit} "
        f"in the mean of {spread.plates} pupils"
    )
    if spread.spread <= 0:
        return f"{start}; measuring uncertainty explains all differences between them."
    named = [
        f"{', '.join(codes)} {word}"
        for codes, word in ((spread.above, "above"), (spread.below, "below"))
        if codes
    ]
    told = "nobody differs from the others by more than measuring explains"
    if named:
        told = f"by more than measuring explains, {' and '.join(named)} the middle of the others"
    return f"{start}, from pupil to pupil by ±{spread.spread:.{digits}f}{unit}; {told}."


def _common_faults(rows: Sequence[Row]) -> tuple[str, ...]:
    """Name steps and faults that more than one pupil shows, the commonest first."""
    pupils: dict[tuple[str, int], set[str]] = defaultdict(set)
    texts: dict[tuple[str, int], str] = {}
    for row in rows:
        for found in row.score.findings if row.score is not None else ():
            key = (found.kind, found.number)
            pupils[key].add(row.finished.pupil)
            texts.setdefault(key, found.text)
    counts = Counter({key: len(codes) for key, codes in pupils.items()})
    return tuple(
        f"Step {key[1]}, {count} pupils ({', '.join(sorted(pupils[key]))}). E.g.: {texts[key]}"
        for key, count in counts.most_common()
        if count > 1
    )


def _cells(row: Row, sentences: dict[tuple[str, str], str]) -> list[Cell]:
    reading, score = row.finished.reading, row.score
    sentence = sentences.get((row.finished.pupil, row.finished.photo), "")
    codes = " ".join(reason.code for reason in reading.reasons)
    start: list[Cell] = [row.finished.pupil, row.finished.photo, row.made, reading.status, row.word]
    if score is None:
        return [*start, *[None] * 11, "yes" if row.late else "", codes, sentence]
    numbers: list[Cell] = [row.grade, score.within, score.outside, score.undecided, row.not_seen]
    for found in (score.side_rms_mm, score.side_largest_mm, score.angle_rms_deg):
        numbers += [None, None] if found is None else [found.value, found.U]
    return [*start, *numbers, "yes" if row.late else "", codes, sentence]


def _uri(data: bytes) -> str:
    return "data:image/jpeg;base64," + base64.b64encode(data).decode("ascii")


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=ChoiceLoader(
            [PackageLoader("scribegauge.batch"), PackageLoader("scribegauge.progress")]
        ),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["measured"] = measured_words
    return environment
