"""The languages that the program speaks, each a gettext catalogue packed with it."""

import gettext
from functools import cache
from importlib.resources import as_file, files
from typing import Final

from scribegauge.errors import UseError
from scribetarget.wording import ENGLISH, Language

#: The tag of each with its decimal sign.
LANGUAGES: Final = {"en": ".", "de": ","}
DOMAIN: Final = "scribegauge"


def language_named(tag: str, *, decimal_comma: bool | None = None) -> Language:
    """Return a language for `scribetarget.wording.speaking`.

    Parameters
    ----------
    tag : str
        One of `LANGUAGES`.
    decimal_comma : bool, optional
        Whether numbers have a comma; left out, as the language writes them.

    Raises
    ------
    UseError
        ``language_unknown``.
    """
    if tag not in LANGUAGES:
        raise UseError(
            "language_unknown",
            f"There is no language {tag!r}.",
            f"Choose one of {', '.join(LANGUAGES)}.",
        )
    sign = LANGUAGES[tag] if decimal_comma is None else ("," if decimal_comma else ".")
    return Language(tag, _catalogue(tag), sign)


@cache
def _catalogue(tag: str) -> gettext.NullTranslations:
    if tag == ENGLISH.tag:
        return ENGLISH.catalogue
    with as_file(files("scribegauge") / "locale") as folder:
        return gettext.translation(DOMAIN, folder, [tag])
