"""What can go wrong when a construction is run."""

from scribetarget.wording import say


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

    @property
    def at_step(self) -> str:
        """Say which step cannot be done, and why."""
        return say(
            "step {number}, mark {mark}: {why}", number=self.number, mark=self.mark, why=self.text
        )
