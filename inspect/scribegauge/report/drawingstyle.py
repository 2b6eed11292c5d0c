"""One style for all that is drawn: colours, widths, letters of overlay, close-ups and plots.

Overlay, page, PDF and plots take them from here, and so do the page's style sheet and the PDF's
words. Nothing is told by colour alone: strokes differ in lightness, width and dashes as well.
"""

from dataclasses import dataclass
from typing import TypeAlias

Colour: TypeAlias = tuple[int, int, int]

# Words and paper.
INK: Colour = (22, 24, 28)
SOFT: Colour = (77, 83, 92)
RULE: Colour = (201, 205, 211)
PAPER: Colour = (250, 250, 247)
GROUND: Colour = (244, 245, 242)
WHITE: Colour = (255, 255, 255)
BLUE: Colour = (28, 78, 128)
RED: Colour = (156, 28, 18)

# Marks on metal, and the metal they are shown on in the key.
DARK: Colour = (16, 20, 24)
CYAN: Colour = (64, 224, 255)
SIGNAL: Colour = (200, 30, 0)
METAL: Colour = (122, 116, 92)
BEYOND: Colour = (150, 150, 146)

# Plots.
BAR: Colour = (125, 157, 189)
BAR_OUTSIDE: Colour = (192, 74, 61)
PALE: Colour = (196, 198, 200)
ORANGE: Colour = (200, 80, 0)
LIGHT_ORANGE: Colour = (255, 232, 214)
LIGHT_BLUE: Colour = (220, 234, 246)
BAND: Colour = (221, 229, 218)
BAND_EDGE: Colour = (92, 111, 87)

#: Packed with the program; where it is not there the next of about the same width is taken.
FAMILIES = "'DejaVu Sans', Verdana, Geneva, Arial, sans-serif"


def hexadecimal(colour: Colour) -> str:
    """Write a colour as ``#rrggbb``."""
    return "#{:02x}{:02x}{:02x}".format(*colour)


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line style; `dash_px` and `gap_px` of 0 draw it solid.

    `halo_px` is the width of its edge in `halo`: light strokes get a dark one and dark strokes a
    light one, so that each shows on any metal and is told from the others in grey. None has no edge.
    """

    colour: Colour
    halo: Colour | None
    width_px: float
    halo_px: float
    dash_px: float = 0.0
    gap_px: float = 0.0


# On the overlay, 1600 px wide.
FOUND = Stroke(CYAN, DARK, width_px=2, halo_px=1)
OTHER = Stroke(WHITE, DARK, width_px=1.6, halo_px=1)
INTENDED = Stroke(WHITE, DARK, width_px=10, halo_px=1, dash_px=26.0, gap_px=22.0)
UNSEEN = Stroke(WHITE, DARK, width_px=8, halo_px=3, dash_px=4.0, gap_px=30.0)
ENLARGED = Stroke(SIGNAL, WHITE, width_px=3, halo_px=2)
ARROW = Stroke(SIGNAL, WHITE, width_px=6, halo_px=3)
HEAD = Stroke(WHITE, None, width_px=2, halo_px=0.0)
RING = Stroke(WHITE, DARK, width_px=4, halo_px=2)
STEP = Stroke(DARK, WHITE, width_px=7, halo_px=3, dash_px=9.0, gap_px=9.0)
LEADER = Stroke(DARK, WHITE, width_px=3, halo_px=3)
FRAME = Stroke(DARK, WHITE, width_px=4, halo_px=2)
WASH_STRENGTH = 0.35

# On a close-up, 300 wide for 3 mm.
CROSS = Stroke(CYAN, DARK, width_px=2, halo_px=1.25)
PASSING = Stroke(WHITE, DARK, width_px=1.5, halo_px=1, dash_px=9.0, gap_px=5.0)
RIM = Stroke(WHITE, DARK, width_px=2, halo_px=1.25, dash_px=7.0, gap_px=4.0)
MEANT = Stroke(WHITE, DARK, width_px=2, halo_px=1.25)
TICK = Stroke(WHITE, None, width_px=1.5, halo_px=0.0)

# In a plot, 400 wide.
AXIS = Stroke(INK, None, width_px=1, halo_px=0.0)
WHISKER = Stroke(INK, None, width_px=1.6, halo_px=0.0)
EDGE = Stroke(BAND_EDGE, None, width_px=1, halo_px=0.0, dash_px=3.0, gap_px=2.0)
PLOT_TEXT_PX, PLOT_WORD_PX = 12.5, 11.5
