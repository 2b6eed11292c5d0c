"""Text in the order in which letters stand on paper, for writers that set them from left to right.

A short form of the Unicode bidirectional algorithm (UAX #9, rules P2, W2, W4, W7, N0 to N2, I, L2, L4): enough
for titles and names, without explicit embeddings.
"""

import unicodedata

_RIGHT = frozenset({"R", "AL"})
_NUMBERS = frozenset({"EN", "AN"})
_OPENING, _CLOSING = "([{", ")]}"
_MIRRORED = str.maketrans("()[]{}<>«»‹›", ")(][}{><»«›‹")  # noqa: RUF001 - the signs themselves


def runs_right(text: str) -> bool:
    """Tell whether a text runs from right to left: its first letter with a direction does."""
    for character in text:
        kind = unicodedata.bidirectional(character)
        if kind == "L":
            return False
        if kind in _RIGHT:
            return True
    return False


def has_right(text: str) -> bool:
    """Tell whether any of it runs from right to left."""
    return any(unicodedata.bidirectional(character) in _RIGHT for character in text)


def visual(text: str) -> str:
    """Put one line of text into the order of its places on paper, left to right.

    Parameters
    ----------
    text : str
        In reading order.
    """
    if not has_right(text):
        return text
    clusters = _clusters(text)
    levels = _levels(clusters, int(runs_right(text)))
    pairs = [
        (level, cluster.translate(_MIRRORED) if level % 2 else cluster)
        for level, cluster in zip(levels, clusters, strict=True)
    ]
    for level in range(max(levels), 0, -1):
        pairs = _reversed_from(pairs, level)
    return "".join(cluster for _, cluster in pairs)


def _clusters(text: str) -> list[str]:
    """Keep marks with the letter that carries them."""
    found: list[str] = []
    for character in text:
        if found and unicodedata.bidirectional(character) in {"NSM", "BN"}:
            found[-1] += character
        else:
            found.append(character)
    return found


def _levels(clusters: list[str], base: int) -> list[int]:
    kinds = _with_separators([unicodedata.bidirectional(cluster[0]) for cluster in clusters])
    around = "R" if base else "L"
    ways = _bracketed(clusters, _directions(kinds, around), around)
    before, after = _nearest(ways, around), _nearest(ways[::-1], around)[::-1]
    levels = []
    for kind, way, left, right in zip(kinds, ways, before, after, strict=True):
        settled = way or (left if left == right else around)
        number = kind in _NUMBERS and settled == "R"
        levels.append(2 if number else 1 if settled == "R" else 2 * base)
    return levels


def _with_separators(kinds: list[str]) -> list[str]:
    """Take a point or comma between two digits for a part of the number (W4)."""
    made = list(kinds)
    for k in range(1, len(kinds) - 1):
        if kinds[k] in {"CS", "ES"} and kinds[k - 1] == kinds[k + 1] == "EN":
            made[k] = "EN"
    return made


def _directions(kinds: list[str], around: str) -> list[str]:
    """Say L or R of letters, of numbers that of the letter before them (W7), and nothing of others."""
    ways, last = [], around
    for kind in kinds:
        if kind == "L" or kind in _RIGHT:
            last = "L" if kind == "L" else "R"
            ways.append(last)
        else:
            ways.append(last if kind in _NUMBERS else "")
    return ways


def _bracketed(clusters: list[str], ways: list[str], around: str) -> list[str]:
    """Give both brackets of a pair one direction, by what is in them and before (N0)."""
    made, open_at = list(ways), []
    for k, cluster in enumerate(clusters):
        if cluster[0] in _OPENING:
            open_at.append(k)
        elif cluster[0] in _CLOSING and open_at:
            first = open_at.pop()
            inside = {way for way in ways[first:k] if way}
            before = next((way for way in made[first::-1] if way), around)
            way = around if not inside or around in inside else before
            if inside:
                made[first] = made[k] = way
    return made


def _nearest(ways: list[str], around: str) -> list[str]:
    """Give for each place the last direction before it."""
    found, last = [], around
    for way in ways:
        found.append(last)
        last = way or last
    return found


def _reversed_from(pairs: list[tuple[int, str]], level: int) -> list[tuple[int, str]]:
    """Turn every stretch of at least this level round."""
    out: list[tuple[int, str]] = []
    stretch: list[tuple[int, str]] = []
    for pair in pairs:
        if pair[0] >= level:
            stretch.append(pair)
        else:
            out += [*stretch[::-1], pair]
            stretch = []
    return [*out, *stretch[::-1]]
