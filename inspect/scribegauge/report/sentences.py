"""What came out, in whole sentences for somebody who did not take the photo."""

from collections.abc import Sequence
from dataclasses import dataclass

from scribegauge.report.counting import listed, share_of_angles, share_of_sides
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
from scribetarget.wording import digits, later, say, say_count

_SPELT_OUT = 4


@dataclass(frozen=True, slots=True)
class Verdict:
    """The sentence to read first, and what there is to say besides."""

    first: str
    more: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Judged:
    """Sides or angles: what was allowed, and rows of (name, word, size of deviation, sentence)."""

    of_sides: bool
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
        texts = [reason.text for reason in reading.reasons] or [say("no reason given.")]
        return Verdict(
            say("This photo cannot be judged. {reason}", reason=texts[0]), tuple(texts[1:])
        )
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
    told = {"side": side_name(side), "size": size}
    if side.deviation_mm > 0:
        return say("side {side} is {size} too long", **told)
    return say("side {side} is {size} too short", **told)


def angle_sentence(angle: AngleReading) -> str:
    """Say how much too wide or too narrow a measured angle is; empty when it was not measured."""
    if angle.deviation_deg is None or angle.U_deg is None:
        return ""
    size = _size(angle.deviation_deg, angle.U_deg, "°")
    if angle.deviation_deg > 0:
        return say("angle {at} is {size} too wide", at=angle.at, size=size)
    return say("angle {at} is {size} too narrow", at=angle.at, size=size)


def _size(deviation: float, expanded: float, unit: str) -> str:
    places = decimals_for(expanded)
    return f"{digits(abs(deviation), places)}{KEEP}±{KEEP}{digits(expanded, places)}{unit}"


def _sides(reading: Reading) -> _Judged:
    rows = [
        (side_name(s), side_word(reading, s), abs(s.deviation_mm or 0.0), side_sentence(s))
        for s in reading.sides
    ]
    limit = allowed(reading, reading.tolerance_side_mm, f"{KEEP}mm")
    return _Judged(of_sides=True, limit=limit, rows=tuple(rows))


def _angles(reading: Reading) -> _Judged:
    rows = [
        (a.at, angle_word(a), abs(a.deviation_deg or 0.0), angle_sentence(a))
        for a in reading.angles
    ]
    limit = allowed(reading, reading.tolerance_angle_deg, "°")
    return _Judged(of_sides=False, limit=limit, rows=tuple(rows))


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]


def _step(reading: Reading) -> list[str]:
    construction = reading.construction
    if construction is None or construction.entered_at is None:
        return []
    step = f"{KEEP}{construction.entered_at}"
    return [say("The error entered at step{step}.", step=step)]


def _within(kind: _Judged) -> str:
    """Say how many are within, and which is farthest outside."""
    share_of = share_of_sides if kind.of_sides else share_of_angles
    words = share_of(len(kind.having("within")), len(kind.rows))
    farthest = [f"; {sentence}" for *_, sentence in kind.having("outside")[:1]]
    lead = say("{share} within {allowed}", share=words, allowed=kind.limit)
    return f"{_capital(lead)}{''.join(farthest)}."


def _outside(kind: _Judged) -> list[str]:
    """Say what else is outside."""
    rows = kind.having("outside")[1:]
    said = [f"{_capital(sentence)}." for *_, sentence in rows[:_SPELT_OUT]]
    rest = [name for name, *_ in rows[_SPELT_OUT:]]
    if rest:
        said.append(
            say_count(
                "{names} is outside too.",
                "{names} are outside too.",
                len(rest),
                names=listed(rest),
            )
        )
    return said


def _undecided(kinds: Sequence[_Judged]) -> list[str]:
    said = []
    for kind in kinds:
        names = [name for name, word, *_ in kind.rows if word == "undecided"]
        if names and kind.of_sides:
            said.append(
                say_count(
                    "Side {names} is undecided: this photo cannot tell.",
                    "Sides {names} are undecided: this photo cannot tell.",
                    len(names),
                    names=listed(names),
                )
            )
        elif names:
            said.append(
                say_count(
                    "Angle {names} is undecided: this photo cannot tell.",
                    "Angles {names} are undecided: this photo cannot tell.",
                    len(names),
                    names=listed(names),
                )
            )
    return said


def _missing(reading: Reading) -> list[str]:
    words = [(side_name(s), side_word(reading, s)) for s in reading.sides]
    unseen = [name for name, word in words if word == "not seen"]
    cornerless = [name for name, word in words if word == "no corner"]
    said = []
    if unseen:
        said.append(
            say_count(
                "Side {names} is not seen in the photo.",
                "Sides {names} are not seen in the photo.",
                len(unseen),
                names=listed(unseen),
            )
        )
    if cornerless:
        said.append(
            say_count(
                "Side {names} is without a length: a corner was not found.",
                "Sides {names} are without a length: a corner was not found.",
                len(cornerless),
                names=listed(cornerless),
            )
        )
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
    lead = say(
        "{sides} measured, and {angles}.",
        sides=share_of_sides(sides, len(reading.sides)),
        angles=share_of_angles(angles, len(reading.angles)),
    )
    why = say("The layout gives no tolerance, so nothing is judged.")
    return f"{_capital(lead)} {why}"


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
    none = (
        later("No side differs from the intended length by more than its uncertainty."),
        later("No angle differs from the intended angle by more than its uncertainty."),
    )
    said = []
    for rows, words in zip((sides, angles), none, strict=True):
        if not rows:
            continue
        if all(deviation <= expanded for deviation, expanded, _ in rows):
            said.append(say(words))
        else:
            said.append(say("The largest deviation: {sentence}.", sentence=max(rows)[2]))
    return said
