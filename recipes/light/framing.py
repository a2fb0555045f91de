"""What does the lens see at the mark, and is there room to stand that far back?

Thin lens, measured from its front principal plane. All the depth-of-field and blur sums start from the
magnification here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from recipes.quantity import Array, N, above_zero, at_least_zero, plain

__all__ = [
    "CAMERA_WORKING_ROOM_M",
    "Frame",
    "RoomDepth",
    "distance_for_frame_m",
    "distance_from_lens_m",
    "field_of_view_deg",
    "frame_at_mark",
    "frame_size_m",
    "magnification",
    "room_depth",
    "tallest_subject_m",
]

CAMERA_WORKING_ROOM_M = 0.6
"""Room behind the camera for the person who works it. House policy, no source."""


def _focused(focal_mm: N, distance_m: N) -> tuple[Array, Array]:
    """Focal length and distance, both in millimetres, once the distance is beyond the focal length."""
    focal = above_zero("focal_mm", focal_mm)
    distance = above_zero("distance_m", distance_m) * 1000.0
    if np.any(distance <= focal):
        raise ValueError(
            "distance_m is not beyond the focal length, where no lens can focus; give the distance in metres."
        )
    return focal, distance


def magnification(focal_mm: N, distance_m: N) -> N:
    """Size of the image on the sensor over the size of the thing itself.

    Parameters: focal length in mm; distance from the lens in m. Returns a pure ratio.
    Raises ValueError when the distance is not beyond the focal length.

    Equation: ``m = f / (s - f)``. Source: thin lens, Ray, *Applied Photographic Optics*.
    """
    focal, distance = _focused(focal_mm, distance_m)
    return plain(focal / (distance - focal))


def field_of_view_deg(sensor_mm: N, focal_mm: N) -> N:
    """Full angle of view along one side of the sensor, focused far away, in degrees.

    Equation: ``2 atan(w / 2f)``.
    """
    sensor = above_zero("sensor_mm", sensor_mm)
    focal = above_zero("focal_mm", focal_mm)
    return plain(2.0 * np.degrees(np.arctan(sensor / (2.0 * focal))))


def frame_size_m(sensor_mm: N, focal_mm: N, distance_m: N) -> N:
    """How much of the subject's plane one side of the sensor covers, in m.

    Equation: ``w / m = w (s - f) / f``.
    """
    sensor = above_zero("sensor_mm", sensor_mm)
    focal, distance = _focused(focal_mm, distance_m)
    return plain(sensor * (distance - focal) / focal / 1000.0)


def distance_for_frame_m(sensor_mm: N, focal_mm: N, frame_m: N) -> N:
    """How far from the lens the subject must be for one side of the sensor to cover ``frame_m``, in m.

    Equation: ``s = f (1 + frame / w)``, the inverse of `frame_size_m`.
    """
    sensor = above_zero("sensor_mm", sensor_mm)
    focal = above_zero("focal_mm", focal_mm)
    frame = above_zero("frame_m", frame_m) * 1000.0
    return plain(focal * (1.0 + frame / sensor) / 1000.0)


def tallest_subject_m(frame_height_m: N, air_share: N = 0.05) -> N:
    """The tallest subject that fits with ``air_share`` of the frame left free above and again below, in m."""
    frame = above_zero("frame_height_m", frame_height_m)
    air = at_least_zero("air_share", air_share)
    if np.any(air >= 0.5):
        raise ValueError("air_share leaves no room for the subject; give less than 0.5.")
    return plain(frame * (1.0 - 2.0 * air))


def distance_from_lens_m(sensor_distance_m: N, focal_mm: N) -> N:
    """Distance from the lens when the tape was held at the sensor's mark, in m.

    Takes the shorter image side (an ordinary picture, not a macro one beyond life size). Raises ValueError
    when the tape reads less than four focal lengths, where no image is sharp.

    Equation: ``D = s + s f / (s - f)``, solved for ``s``.
    """
    focal = above_zero("focal_mm", focal_mm)
    whole_way = above_zero("sensor_distance_m", sensor_distance_m) * 1000.0
    inside = whole_way * (whole_way - 4.0 * focal)
    if np.any(inside < 0):
        raise ValueError(
            "sensor_distance_m is under four focal lengths, where nothing can be sharp; "
            "measure again from the sensor's mark."
        )
    return plain((whole_way + np.sqrt(inside)) / 2.0 / 1000.0)


@dataclass(frozen=True)
class Frame:
    """What the picture covers at the mark, in m, and how large it comes out on the sensor."""

    width_m: float
    height_m: float
    magnification: float


def frame_at_mark(
    sensor_width_mm: float,
    sensor_height_mm: float,
    focal_mm: float,
    distance_m: float,
    upright: bool = False,
) -> Frame:
    """Width and height of the frame at the mark; ``upright`` turns the camera on its side."""
    across = frame_size_m(sensor_width_mm, focal_mm, distance_m)
    along = frame_size_m(sensor_height_mm, focal_mm, distance_m)
    if upright:
        across, along = along, across
    return Frame(across, along, magnification(focal_mm, distance_m))


@dataclass(frozen=True)
class RoomDepth:
    """Whether the line from backdrop over mark to camera fits; margin in m, positive when it does."""

    needed_m: float
    available_m: float
    margin_m: float

    @property
    def fits(self) -> bool:
        return self.margin_m >= -1e-9


def room_depth(
    available_m: float,
    camera_distance_m: float,
    behind_mark_m: float,
    behind_camera_m: float = CAMERA_WORKING_ROOM_M,
) -> RoomDepth:
    """Is the room deep enough for this camera distance, with the space behind the mark and the camera?

    ``behind_mark_m`` is from the mark to the backdrop or wall, ``behind_camera_m`` from the lens to the wall.
    """
    available = float(above_zero("available_m", available_m))
    needed = (
        float(above_zero("camera_distance_m", camera_distance_m))
        + float(at_least_zero("behind_mark_m", behind_mark_m))
        + float(at_least_zero("behind_camera_m", behind_camera_m))
    )
    return RoomDepth(needed, available, available - needed)
