"""What came out, in whole sentences for somebody who did not take the photo."""

from collections.abc import Sequence
from dataclasses import dataclass

from scribegauge.report.judgewords import grade_sentences, odds_sentence
from scribegauge.report.reading import AngleReading, Reading, SideReading
from scribegauge.report.words import (
    KEEP,
    allowed,
    angle_word,
    decimals_for,
    side_name,
    side_word,
)

_NUMBERS = (
    *("no", "one", "two", "three", "four", "five", "six"),
    *("seven", "eight", "nine", "ten", "eleven", "twelve"),
)
_SPELT_OUT = 4


@dataclass(frozen=True, slots=True)
class Verdict:
    """The sentence to read first, and what there is to say besides."""

    first: str
    more: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Judged:
    """One kind of quantity: its rows as (name, word, size of the deviation, sentence)."""

    noun: str
    limit: str
    rows: tuple[tuple[str, str, float, str], ...]

    def having(self, *words: str) -> list[tuple[str, str, float, str]]:
        """Return the rows with one of these words, the largest deviation first."""
        found = [row for row in self.rows if row[1] in words]
        return sorted(found, key=lambda row: -row[2])

    @property
    def judged(self) -> bool:
        """Whether anything of this kind was judged."""
        return bool(self.having("within", "outside", "undecided"))


def verdict_of(reading: Reading) -> Verdict:
    """Say what came out.

    Parameters
    ----------
    reading : Reading

    Returns
    -------
    Verdict
        Refused: the first reason. Judged: how many are within, which side and angle are farthest
        outside, and at which step of the construction the error entered; then what else is outside
        with its size, undecided or was not seen. Else: how many were measured, and the largest
        deviation.
    """
    if reading.status == "refused":
        texts = [reason.text for reason in reading.reasons] or ["no reason given."]
        return Verdict(f"This photo cannot be judged. {texts[0]}", tuple(texts[1:]))
    kinds = [kind for kind in (_sides(reading), _angles(reading)) if kind.judged]
    grade = grade_sentences(reading.grade) if reading.grade is not None else []
    step = _step(reading)
    if not kinds:
        first = " ".join([_measured(reading), *step])
        return Verdict(first, (*grade, *_largest(reading), *_missing(reading)))
    first = " ".join([*(_within(kind) for kind in kinds), *step])
    outside = [sentence for kind in kinds for sentence in _outside(kind)]
    odds = odds_sentence(reading)
    more = (*grade, *outside, *_undecided(kinds), *([odds] if odds else []), *_missing(reading))
    return Verdict(first, more)


def side_sentence(side: SideReading) -> str:
    """Say how much too long or too short a measured side is; empty when it was not measured."""
    if side.deviation_mm is None or side.U_mm is None:
        return ""
    size = _size(side.deviation_mm, side.U_mm, f"{KEEP}mm")
    return f"side {side_name(side)} is {size} too {'long' if side.deviation_mm > 0 else 'short'}"


def angle_sentence(angle: AngleReading) -> str:
    """Say how much too wide or too narrow a measured angle is; empty when it was not measured."""
    if angle.deviation_deg is None or angle.U_deg is None:
        return ""
    size = _size(angle.deviation_deg, angle.U_deg, "°")
    return f"angle {angle.at} is {size} too {'wide' if angle.deviation_deg > 0 else 'narrow'}"


def _size(deviation: float, expanded: float, unit: str) -> str:
    places = decimals_for(expanded)
    return f"{abs(deviation):.{places}f}{KEEP}±{KEEP}{expanded:.{places}f}{unit}"


def _sides(reading: Reading) -> _Judged:
    rows = [
        (side_name(s), side_word(reading, s), abs(s.deviation_mm or 0.0), side_sentence(s))
        for s in reading.sides
    ]
    limit = allowed(reading, reading.tolerance_side_mm, f"{KEEP}mm")
    return _Judged("side", limit, tuple(rows))


def _angles(reading: Reading) -> _Judged:
    rows = [
        (a.at, angle_word(a), abs(a.deviation_deg or 0.0), angle_sentence(a))
        for a in reading.angles
    ]
    limit = allowed(reading, reading.tolerance_angle_deg, "°")
    return _Judged("angle", limit, tuple(rows))


def _number(count: int) -> str:
    return _NUMBERS[count] if count < len(_NUMBERS) else str(count)


def share(count: int, total: int, noun: str) -> str:
    """Say how many of them: ``all five sides are``, ``one of five sides is``, ``no side is``."""
    if count == 0:
        return f"no {noun} is"
    if count == total:
        return f"all {_number(total)} {noun}s are"
    return f"{_number(count)} of {_number(total)} {noun}s {'is' if count == 1 else 'are'}"


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]


def _step(reading: Reading) -> list[str]:
    construction = reading.construction
    if construction is None or construction.entered_at is None:
        return []
    return [f"The error entered at step{KEEP}{construction.entered_at}."]


def _within(kind: _Judged) -> str:
    """Say how many are within, and which is farthest outside."""
    words = share(len(kind.having("within")), len(kind.rows), kind.noun)
    farthest = [f"; {sentence}" for *_, sentence in kind.having("outside")[:1]]
    return f"{_capital(words)} within {kind.limit}{''.join(farthest)}."


def _outside(kind: _Judged) -> list[str]:
    """Say what else is outside."""
    rows = kind.having("outside")[1:]
    said = [f"{_capital(sentence)}." for *_, sentence in rows[:_SPELT_OUT]]
    rest = [name for name, *_ in rows[_SPELT_OUT:]]
    return [*said, f"{_capital(_listed(rest))} outside too."] if rest else said


def _listed(names: Sequence[str]) -> str:
    """List names with their verb: ``A–B, B–C and C–D are``."""
    if len(names) == 1:
        return f"{names[0]} is"
    return f"{', '.join(names[:-1])} and {names[-1]} are"


def _all_of(noun: str, names: Sequence[str]) -> str:
    """List names with noun and verb: ``Sides A–B and B–C are``."""
    return f"{_capital(noun)}{'' if len(names) == 1 else 's'} {_listed(names)}"


def _undecided(kinds: Sequence[_Judged]) -> list[str]:
    said = []
    for kind in kinds:
        names = [name for name, word, *_ in kind.rows if word == "undecided"]
        if names:
            said.append(f"{_all_of(kind.noun, names)} undecided: this photo cannot tell.")
    return said


def _missing(reading: Reading) -> list[str]:
    words = [(side_name(s), side_word(reading, s)) for s in reading.sides]
    unseen = [name for name, word in words if word == "not seen"]
    cornerless = [name for name, word in words if word == "no corner"]
    said = []
    if unseen:
        said.append(f"{_all_of('side', unseen)} not seen in the photo.")
    if cornerless:
        said.append(f"{_all_of('side', cornerless)} without a length: a corner was not found.")
    return said


def notes_of(reading: Reading) -> tuple[tuple[str, str], ...]:
    """Gather what was said of single sides and angles, as (names, text); each text once."""
    named: dict[str, list[str]] = {}
    for side in reading.sides:
        for reason in side.reasons:
            named.setdefault(reason.text, []).append(side_name(side))
    for angle in reading.angles:
        for reason in angle.reasons:
            named.setdefault(reason.text, []).append(angle.at)
    return tuple((", ".join(names), text) for text, names in named.items())


def _measured(reading: Reading) -> str:
    sides = sum(s.measured_mm is not None for s in reading.sides)
    angles = sum(a.measured_deg is not None for a in reading.angles)
    said = f"{_capital(share(sides, len(reading.sides), 'side'))} measured"
    said += f", and {share(angles, len(reading.angles), 'angle')}"
    return f"{said}. The layout gives no tolerance, so nothing is judged."


def _largest(reading: Reading) -> list[str]:
    """Name the side and the angle that deviate most, unless none does by more than its U."""
    sides = [
        (abs(s.deviation_mm), s.U_mm, side_sentence(s))
        for s in reading.sides
        if s.deviation_mm is not None and s.U_mm is not None
    ]
    angles = [
        (abs(a.deviation_deg), a.U_deg, angle_sentence(a))
        for a in reading.angles
        if a.deviation_deg is not None and a.U_deg is not None
    ]
    said = []
    for rows, noun, wanted in ((sides, "side", "length"), (angles, "angle", "angle")):
        if not rows:
            continue
        if all(deviation <= expanded for deviation, expanded, _ in rows):
            said.append(
                f"No {noun} differs from the intended {wanted} by more than its uncertainty."
            )
        else:
            said.append(f"The largest deviation: {max(rows)[2]}.")
    return said
