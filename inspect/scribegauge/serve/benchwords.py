"""What a reading says, in words for somebody who holds a phone and types no commands."""

from collections.abc import Iterator
from typing import Final

from scribegauge.report.advice import limits_of
from scribegauge.report.reading import Reading, Reason

_CURES: Final = {
    "lens": "Set up this phone: ten photos of the target, under Set-up.",
    "focal": "Tilt the phone by 10 to 20 degrees, or set it up under Set-up.",
    "bars": "Measure both check bars of the sheet again and write them down under Set-up.",
    "caliper": "Measure the check bars with a better caliper.",
    "thickness": "Measure the plate's thickness with a micrometer, in several places.",
    "optics": "Which wall of the groove is lit cannot be told from one lamp: put it lower.",
}
_REASONS: Final = {
    "bars_not_measured": "The sheet's check bars were not given: only the shape can be trusted. "
    "Choose the sheet, or type both bars.",
    "thickness_not_given": "The plate's thickness was not given: lengths are uncertain by about "
    "0.5 %. Measure it with a caliper.",
    "figure_not_found": "The marks on this plate do not make up this exercise. Check the exercise "
    "and its sizes; else take the photo again with the lamp low from another side, or lay the "
    "figure on it by hand.",
}


def reason_words(reason: Reason) -> str:
    """Say a reason as the page can cure it."""
    return _REASONS.get(reason.code, reason.text)


def better(reading: Reading) -> Iterator[tuple[str, str, str]]:
    """Yield the largest causes of uncertainty: cause, its share in words, what to do."""
    limits = limits_of(reading)
    if limits is None:
        return
    terms = sorted(limits.side.terms, key=lambda term: -term.u)
    for term, row in zip(terms, limits.rows, strict=False):
        yield row.cause, f"{row.percent} %", _CURES.get(term.name, row.cure)
