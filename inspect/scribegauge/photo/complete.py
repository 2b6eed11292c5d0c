"""Whether a file is all there, told from its own marks of where things end.

A JPEG decoder is content when it has filled every row, even if the tail of the file is a run
of zeros (a copy that was cut off), and a HEIC decoder paints missing tiles grey without a
word. So the end is looked for here, before any pixel is decoded.
"""

import re
from typing import Final

#: A marker: 0xFF and a code. 0xFF00 is a data byte and 0xD0…0xD7 restart the entropy coder.
_MARKER: Final = re.compile(rb"\xff([\x01-\xcf\xd8-\xfe])")
_END: Final = 0xD9
_WITHOUT_LENGTH: Final = frozenset({0x01, 0xD8})

#: One block of a disk. Coded pictures never hold three zero bytes in a row (ITU-T H.265,
#: 7.4.2: emulation prevention), so a block of them at the end was never written.
_UNWRITTEN: Final = bytes(4096)


def jpeg_is_complete(data: bytes) -> bool:
    """Tell whether the first picture of a JPEG file has its end marker.

    Parameters
    ----------
    data : bytes
        The whole file; further pictures or a film may follow the first.

    Returns
    -------
    bool

    References
    ----------
    ITU-T T.81 (1992), annex B.1.1: markers and marker segments.
    """
    place = 0
    while found := _MARKER.search(data, place):
        code = found[1][0]
        place = found.end()
        if code == _END:
            return True
        if code not in _WITHOUT_LENGTH:
            place += int.from_bytes(data[place : place + 2])
    return False


def boxes_are_complete(data: bytes) -> bool:
    """Tell whether a HEIF or AVIF file holds every box it announces.

    Parameters
    ----------
    data : bytes
        The whole file.

    Returns
    -------
    bool

    References
    ----------
    ISO/IEC 14496-12:2022, 4.2: a box is its length (0: to the end; 1: 64 bits follow), its
    type and its content.
    """
    if data.endswith(_UNWRITTEN):
        return False
    place = 0
    while place + 8 <= len(data):
        length = int.from_bytes(data[place : place + 4])
        if length == 1:
            length = int.from_bytes(data[place + 8 : place + 16])
        if length == 0:
            return True
        if length < 8 or place + length > len(data):  # noqa: PLR2004 - a box has a head of 8
            return False
        place += length
    return True
