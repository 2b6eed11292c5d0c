"""Within, outside or undecided: the decision rule with a guard band of U on both sides."""


def decide(deviation: float, expanded: float, tolerance: float) -> str:
    """Judge one deviation.

    Parameters
    ----------
    deviation, expanded, tolerance : float
        Same unit; `expanded` is U (k = 2), `tolerance` is allowed either way.

    Returns
    -------
    str
        ``"within"`` when conformity is proven, ``"outside"`` when nonconformity is proven,
        ``"undecided"`` otherwise.

    References
    ----------
    ISO 14253-1:2017, clause 5; JCGM 106:2012, 8.3.2.
    """
    size = abs(deviation)
    if size <= tolerance - expanded:
        return "within"
    if size >= tolerance + expanded:
        return "outside"
    return "undecided"
