"""What the bench keeps of one plate beside its photo and readings."""

from dataclasses import dataclass, field
from typing import Final

PLATE_VERSION: Final = 1

Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Choice:
    """What the person chose and gave for one plate.

    Attributes
    ----------
    figure : str
        A figure's name, or ``layout:`` and the name of a layout of the teacher's.
    sizes : dict of str to float
        Of the figure.
    tolerance : str
        As ``--tolerance`` takes it; empty to measure only.
    thickness_mm : float or None
    sheet : str
        Name of the sheet's record; empty where `bars_mm` are given, or nothing.
    bars_mm : tuple of float
        Readings of bar x and bar y, or empty.
    phone : str
        Name of a phone's profile; empty for none.
    """

    figure: str
    sizes: dict[str, float] = field(default_factory=dict)
    tolerance: str = ""
    thickness_mm: float | None = None
    sheet: str = ""
    bars_mm: tuple[float, ...] = ()
    phone: str = ""


@dataclass(frozen=True, slots=True)
class Pointed:
    """Where a person pointed [photo px]: ends of sides and pricks, by number."""

    sides: dict[int, tuple[Place, Place]] = field(default_factory=dict)
    pricks: dict[int, Place] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Run:
    """One measuring of the plate; its files are called by its number."""

    number: int
    pointed: Pointed = field(default_factory=Pointed)


@dataclass(frozen=True, slots=True)
class Plate:
    """One plate on the bench.

    Attributes
    ----------
    plate : int
        Version of this record.
    name : str
        Sixteen hexadecimal digits, at random; also its folder's.
    owner : str
        The pupil's code; empty when the teacher photographed it for nobody.
    sent : str
        When, ISO 8601 in UTC.
    sha256 : str
        Of the file as it was sent.
    choice : Choice
    runs : tuple of Run
        The last one counts; undoing takes it away.
    kept : int or None
        The run that is in the ledger.
    counted : int
        How many runs there ever were: none has the number of one that was undone.
    """

    plate: int
    name: str
    owner: str
    sent: str
    sha256: str
    choice: Choice
    runs: tuple[Run, ...] = (Run(0),)
    kept: int | None = None
    counted: int = 1

    @property
    def run(self) -> Run:
        """The run that counts."""
        return self.runs[-1]

    @property
    def task(self) -> str:
        """What the measuring of the last run is called at the desk."""
        return f"{self.name}.{self.run.number}"
