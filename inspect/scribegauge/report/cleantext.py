"""Text that any file may hold: nothing is lost of it but what no page can show or what misleads."""

import unicodedata

# Bidi overrides turn the order of letters round whatever they are isolated in; nothing in the text
# of a title needs them. Isolates, marks and joiners (in many an emoji) do no harm.
_OVERRIDES = frozenset("\u202a\u202b\u202c\u202d\u202e")
_NO_CHARACTERS = frozenset("\ufffe\uffff")


def clean(text: str) -> str:
    """Drop control characters, halves of characters and overrides; line ends become spaces."""
    if text.isascii() and text.isprintable():  # most are, the long data of pictures among them
        return text
    return "".join(" " if c in "\t\r\n" else c for c in text if _holds(c))


def _holds(character: str) -> bool:
    if character in "\t\r\n":
        return True
    if character in _OVERRIDES or character in _NO_CHARACTERS:
        return False
    return unicodedata.category(character) not in {"Cc", "Cs"}
