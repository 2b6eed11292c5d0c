"""What can be said of a camera that nobody calibrated."""

import numpy as np

from scribetarget.camera import Camera

# The 35 mm equivalent compares by the picture's width (36 mm) with some makers and by its diagonal
# (43.27 mm, CIPA DCG-001) with others: 4 % apart for a 4:3 sensor, so the mean is taken with 3 %.
FILM_WIDTH_MM, FILM_DIAGONAL_MM = 36.0, 43.27
U_FOCAL = 0.03
# Phones without a record: 24 to 32 mm equivalent.
USUAL_FOCAL_35MM, U_USUAL_FOCAL = 27.0, 0.12
U_CENTRE = 0.005
U_ASPECT = 0.001
# Phone lenses as calibrated: |k1| up to 0.15, partly undone by k2 and k3; p1 and p2 up to 1e-3.
U_DISTORTION = (0.08, 0.15, 0.0007, 0.0007, 0.08)


def camera_from_exif(width_px: int, height_px: int, focal_35mm: float | None, name: str) -> Camera:
    """Guess a camera from its 35 mm equivalent focal length.

    Parameters
    ----------
    width_px, height_px : int
        Of the upright picture.
    focal_35mm : float or None
        As the camera recorded it; None gives a wider guess.
    name : str
        Maker and model.
    """
    equivalent = focal_35mm or USUAL_FOCAL_35MM
    longer, diagonal = max(width_px, height_px), float(np.hypot(width_px, height_px))
    by_width = equivalent / FILM_WIDTH_MM * longer
    by_diagonal = equivalent / FILM_DIAGONAL_MM * diagonal
    focal = float(np.sqrt(by_width * by_diagonal))
    u_focal = focal * (U_FOCAL if focal_35mm else U_USUAL_FOCAL)
    centre = U_CENTRE * longer
    spread = np.array([u_focal, U_ASPECT, centre, centre, *U_DISTORTION])
    middle = ((width_px - 1) / 2, (height_px - 1) / 2)
    values = np.array([focal, 1.0, *middle, 0.0, 0.0, 0.0, 0.0, 0.0])
    source = "exif" if focal_35mm else "guess"
    return Camera(width_px, height_px, values, np.diag(spread**2), source, name)
