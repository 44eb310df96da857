"""The camera: where it stands, what it looks at, and where points fall in its picture."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
NEAR_M, FAR_M = 0.1, 50.0


@dataclass(frozen=True)
class Camera:
    """A camera that looks at a point above the starting spot of the figure.

    Attributes
    ----------
    yaw_deg : float
        0 in front of the person, 90 at the person's left side, -90 at the right side.
    fov_deg : float
        Vertical field of view.
    aim_m : tuple of float
        Point looked at, room coordinates.
    """

    yaw_deg: float = 0.0
    height_m: float = 1.1
    distance_m: float = 4.0
    fov_deg: float = 36.0
    aim_m: tuple[float, float, float] = (0.0, 0.0, 0.92)

    @property
    def place_m(self) -> FloatArray:
        """Where the camera stands."""
        yaw = np.radians(self.yaw_deg)
        return np.array(
            [
                self.aim_m[0] + self.distance_m * np.sin(yaw),
                self.aim_m[1] - self.distance_m * np.cos(yaw),
                self.height_m,
            ]
        )

    def view_projection(self, width_px: int, height_px: int) -> FloatArray:
        """Matrix (4, 4) from room coordinates to clip coordinates."""
        place = self.place_m
        ahead = np.array(self.aim_m) - place
        ahead /= np.linalg.norm(ahead)
        right = np.cross(ahead, [0.0, 0.0, 1.0])
        right /= np.linalg.norm(right)
        view = np.eye(4)
        view[:3, :3] = [right, np.cross(right, ahead), -ahead]
        view[:3, 3] = -view[:3, :3] @ place
        zoom = 1 / np.tan(np.radians(self.fov_deg) / 2)
        depth = NEAR_M - FAR_M
        projection = np.array(
            [
                [zoom * height_px / width_px, 0, 0, 0],
                [0, zoom, 0, 0],
                [0, 0, (FAR_M + NEAR_M) / depth, 2 * FAR_M * NEAR_M / depth],
                [0, 0, -1, 0],
            ]
        )
        return np.asarray(projection @ view)

    def project(self, points_m: FloatArray, width_px: int, height_px: int) -> FloatArray:
        """Pixels (..., 2) of points (..., 3), x to the right, y down."""
        matrix = self.view_projection(width_px, height_px)
        homogeneous = np.concatenate([points_m, np.ones((*points_m.shape[:-1], 1))], axis=-1)
        clip = homogeneous @ matrix.T
        flat = clip[..., :2] / clip[..., 3:]
        return np.stack(
            [(flat[..., 0] + 1) / 2 * width_px, (1 - flat[..., 1]) / 2 * height_px], axis=-1
        )
