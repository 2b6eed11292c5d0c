"""What a perfect reading of a scene would say."""

from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from scribegauge.simulate.pinhole import camera_matrix, project_px
from scribegauge.simulate.polygon import inner_angles_deg, meeting_points_mm, sides_mm, turned
from scribegauge.simulate.scene import Scene, Truth
from scribetarget.spec import corner_positions_mm, load_specs

Array = NDArray[np.float64]


def truth_of(scene: Scene) -> Truth:
    """Work out the truth of a scene.

    Sides are the lines with the roles ``side 0``, ``side 1``, … in order round the figure; corner
    i is where side i - 1 and side i meet. Without such lines the corners are empty.

    Parameters
    ----------
    scene : Scene
    """
    spec = load_specs()[scene.paper.size]
    ids = np.array(spec.corner_ids, dtype=np.int64)
    ring_mm = corner_positions_mm(spec, ids) * np.array(scene.paper.print_scale)
    corners = _corners_mm(scene)
    thickness = scene.plate.thickness_mm if scene.plate else 0.0
    pricks = {
        prick.role: plate_to_target_mm(scene, np.array([prick.centre_mm]))[0]
        for prick in (scene.plate.pricks if scene.plate else ())
    }
    return Truth(
        camera_matrix=camera_matrix(scene.camera),
        dist=np.array(scene.camera.dist),
        rotation=scene.pose.rotation,
        translation_mm=scene.pose.translation_mm,
        ring_ids=ids,
        ring_px=seen_px(scene, ring_mm, 0.0),
        corners_mm=corners,
        corners_px=seen_px(scene, corners, thickness),
        sides_mm=sides_mm(corners),
        angles_deg=inner_angles_deg(corners),
        pricks_mm=MappingProxyType(pricks),
        pricks_px=MappingProxyType(
            {role: seen_px(scene, at[None], thickness)[0] for role, at in pricks.items()}
        ),
        thickness_mm=thickness,
    )


def plate_to_target_mm(scene: Scene, points_mm: Array) -> Array:
    """Take points of the plate's own frame, shape (N, 2), into the target frame."""
    placed: Array = turned(points_mm, scene.plate_turn_deg) + np.array(scene.plate_origin_mm)
    return placed


def seen_px(scene: Scene, points_mm: Array, height_mm: float) -> Array:
    """Project points of the target frame, shape (N, 2), at a height above the paper [px]."""
    raised = np.column_stack([points_mm, np.full(len(points_mm), -height_mm)])
    return project_px(raised, scene.camera, scene.pose)


def _corners_mm(scene: Scene) -> Array:
    lines = {line.role: line for line in (scene.plate.lines if scene.plate else ())}
    count = sum(role.startswith("side ") and role[5:].isdigit() for role in lines)
    if not count:
        return np.zeros((0, 2))
    order = [lines[f"side {number}"] for number in range(count)]
    starts = np.array([line.start_mm for line in order])
    ends = np.array([line.end_mm for line in order])
    return plate_to_target_mm(scene, meeting_points_mm(starts, ends))
