"""What can go wrong when a construction is run."""


class StepError(Exception):
    """A step that cannot be done; whoever runs the construction says which and what to do.

    Parameters
    ----------
    reason : str
        ``parallel``, ``apart``, ``rule_undecided`` or ``no_length``.
    text : str
        What is wrong, to follow "step 4 (mark C):".
    """

    def __init__(self, reason: str, text: str) -> None:
        super().__init__(text)
        self.reason = reason
        self.text = text
        self.mark = ""
        self.number = 0
