"""What a person should know about a reading before believing it."""

from collections.abc import Sequence

from scribegauge.figure.fit import FigureFit
from scribegauge.plate.face import U_UNKNOWN_THICKNESS_MM, Face
from scribegauge.report.reading import Reason


def reading_reasons(faces: Sequence[Face], fit: FigureFit) -> tuple[Reason, ...]:
    """Return why a reading is to be taken with care; empty when nothing speaks against it.

    Parameters
    ----------
    faces : sequence of Face
    fit : FigureFit
    """
    reasons = []
    if not faces[0].view.scale.known:
        reasons.append(
            Reason(
                "bars_not_measured",
                "The check bars were not measured, so only the shape can be trusted: lengths may "
                "be 0.4 % off. Measure both bars with a caliper and give them with --bars.",
            )
        )
    if faces[0].u_thickness_mm >= U_UNKNOWN_THICKNESS_MM:
        reasons.append(
            Reason(
                "thickness_not_given",
                "The plate's thickness was not given, so lengths are uncertain by about 0.5 %. "
                "Measure it with a caliper and give it with --thickness.",
            )
        )
    names = fit.layout.names
    unseen = [
        f"{names[k]}\N{EN DASH}{names[(k + 1) % len(names)]}"
        for k, line in enumerate(fit.merged.lines)
        if line is None
    ]
    if unseen:
        reasons.append(
            Reason(
                "side_not_seen",
                f"Not seen: {', '.join(unseen)}. Take the photo again with the lamp low from "
                "another side, or give two photos with the lamp on opposite sides.",
            )
        )
    return tuple(reasons)
