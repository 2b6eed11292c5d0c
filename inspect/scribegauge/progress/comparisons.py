"""Many questions at once: some would be answered 'yes' by chance alone."""

from collections.abc import Sequence


def holm(chances: Sequence[float], level: float = 0.05) -> tuple[bool, ...]:
    """Tell which of several findings stand, so that one false 'yes' in all is as rare as `level`.

    Parameters
    ----------
    chances : sequence of float
        p values, in any order.
    level : float
        For all of them together.

    References
    ----------
    S. Holm, A simple sequentially rejective multiple test procedure, Scand. J. Statist. 6 (1979) 65.
    """
    stands = [False] * len(chances)
    order = sorted(range(len(chances)), key=chances.__getitem__)
    for rank, which in enumerate(order):
        if chances[which] > level / (len(chances) - rank):
            break
        stands[which] = True
    return tuple(stands)
