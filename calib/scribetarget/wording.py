"""Texts and numbers for people, in the language spoken at the moment.

English stands where a text arises; another language is a gettext catalogue that gives its sentence
for the English one. Which is spoken belongs to the work being done and not to the program: as
`decimal.localcontext` does it, `speaking` sets it for what is called within, in this thread or task,
and takes it back.
"""

import string
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from gettext import NullTranslations
from typing import Any


@dataclass(frozen=True, slots=True)
class Language:
    """How people are spoken to.

    Attributes
    ----------
    tag : str
        As in HTML: ``en``, ``de``.
    catalogue : NullTranslations
        Gives the sentence for an English one, or that itself.
    decimal_sign : str
        Point or comma.
    """

    tag: str
    catalogue: NullTranslations
    decimal_sign: str = "."


ENGLISH = Language("en", NullTranslations())

_SPOKEN: ContextVar[Language] = ContextVar("language", default=ENGLISH)


@contextmanager
def speaking(language: Language) -> Iterator[None]:
    """Speak a language within a ``with`` block."""
    before = _SPOKEN.set(language)
    try:
        yield
    finally:
        _SPOKEN.reset(before)


def spoken() -> Language:
    """Return the language spoken at the moment."""
    return _SPOKEN.get()


def say(text: str, /, **values: object) -> str:
    """Say a text of the catalogue.

    Parameters
    ----------
    text : str
        In English, a constant: ``"{name} is empty."``. Places for values are named.
    **values : object
        What goes there. Numbers that are no integers are written with the decimal sign.

    Returns
    -------
    str
        In the language spoken.
    """
    return _filled(spoken().catalogue.gettext(text), values)


def say_count(one: str, many: str, /, count: int, **values: object) -> str:
    """Say a text in the form that goes with a number; `count` has a place in it, or none."""
    text = spoken().catalogue.ngettext(one, many, count)
    return _filled(text, {"count": count, **values})


def later(text: str, /) -> str:
    """Enter a text into the catalogue that is said later, by ``say`` of what this returns."""
    return text


def digits(value: float, places: int, sign: str = "") -> str:
    """Write a number with so many decimals and the decimal sign of the language.

    Parameters
    ----------
    value : float
    places : int
    sign : str
        ``"+"`` for a plus before what is positive.
    """
    return _localised(format(value, f"{sign}.{places}f"))


def plain(value: float) -> str:
    """Write a number with as many decimals as it has, six digits at most, and the decimal sign."""
    return _localised(f"{value:g}")


def _localised(number: str) -> str:
    return number.replace(".", spoken().decimal_sign)


class _Filler(string.Formatter):
    """Fills in values; numbers with decimals get the decimal sign."""

    def format_field(self, value: Any, format_spec: str) -> str:
        text: str = super().format_field(value, format_spec)
        return text if isinstance(value, str | int) else _localised(text)


def _filled(text: str, values: dict[str, object]) -> str:
    return _Filler().vformat(text, (), values) if values else text
