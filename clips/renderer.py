"""Draw dressed figures in a room, off screen, with OpenGL (EGL; software drivers will do)."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import moderngl
import numpy as np
from numpy.typing import NDArray

from clips.body import Body, skin_vertices
from clips.camera import Camera
from clips.looks import Look
from clips.outfit import cloth_edges, dressed, hang, uncovered

FloatArray = NDArray[np.float64]

SHADERS = Path(__file__).parent / "shaders"
PART_CODES = {  # as in figure.frag
    "skin": 0, "eyes": 1, "trousers": 2, "top": 3, "hair": 4, "bun": 4, "left shoe": 5,
    "right shoe": 5, "cap": 6,
}  # fmt: skip
SHADOW_PARTS = ("top", "trousers", "skin", "left shoe", "right shoe")
FLOOR_CODES = {"boards": 0, "plain": 1, "mat": 2}
SAMPLES = 4
WALL_M = 2.2
SHADOW = 0.6  # brightness of the floor where the figure shades it
SAG_M = 0.05  # how far loose cloth falls from a belly or chest that faces the floor
PRESSED = 0.5  # fraction of the hang that gravity takes off a back that faces up
LIGHT_FROM_CAMERA = (-0.45, 0.62, 0.75)  # right, towards the camera, up


class _Drawn:
    """One figure in an OpenGL context: its buffers and the colours it is painted with."""

    def __init__(self, context: Any, body: Body, look: Look) -> None:
        self.edges = cloth_edges(body, look)
        self.body = uncovered(dressed(body, look), self.edges["trouser_z"], self.edges["sleeve_x"])
        self.rest_normals = self.body.normals()
        top = np.unique(self.body.faces["top"])
        self.hang = np.zeros_like(self.body.vertices)
        self.sagging = np.zeros(len(self.body.vertices))
        if look.loose_top:
            self.hang[top] = hang(self.body, self.body.vertices[top])
            self.sagging[top] = np.linalg.norm(self.hang[top], axis=1) > 0.004
        self.context = context
        self.program = _program(context, "figure")
        count = len(self.body.vertices)
        self.positions = context.buffer(reserve=count * 12, dynamic=True)
        self.normals = context.buffer(reserve=count * 12, dynamic=True)
        rest = context.buffer(self.body.vertices.astype("f4").tobytes())
        layout = [
            (self.positions, "3f", "position"), (self.normals, "3f", "normal"), (rest, "3f", "rest")
        ]  # fmt: skip
        self.parts = {
            part: context.vertex_array(
                self.program, layout, context.buffer(faces.astype("i4").tobytes())
            )
            for part, faces in self.body.faces.items()
        }
        self._paint(look)

    def _paint(self, look: Look) -> None:
        eyes = self.body.vertices[np.unique(self.body.faces["eyes"])]
        left = eyes[eyes[:, 0] > 0]
        values: dict[str, Any] = {
            "skin": look.skin,
            "hair": look.hair,
            "top": look.top,
            "trousers": look.trousers_colour,
            "shoe": look.shoe,
            "eye_centre": (left[:, 0].mean(), left[:, 1].min() + 0.012, left[:, 2].mean()),
            "sole_z": self.body.vertices[:, 2].min() + 0.022,
            "folds": look.loose_top,
            **self.edges,
        }
        for name, value in values.items():
            self.program[name].value = value

    def pose(self, rotations: FloatArray, heads_m: FloatArray) -> None:
        """Turn and place the bones like this."""
        places, turns = skin_vertices(
            self.body.vertices, self.body.weights, self.body.bone_heads, rotations, heads_m
        )
        normals = np.einsum("vij,vj->vi", turns, self.rest_normals)
        if self.sagging.any():
            facing_up = normals[:, 2]
            kept = 1 - PRESSED * np.clip(facing_up, 0, 1)
            places += kept[:, None] * np.einsum("vij,vj->vi", turns, self.hang)
            places[:, 2] -= SAG_M * self.sagging * np.clip(-facing_up, 0, 1)
        self.positions.write(places.astype("f4").tobytes())
        self.normals.write(normals.astype("f4").tobytes())

    def render(self, *, shadow: bool) -> None:
        """Draw the figure, or only the shadow it throws on the floor."""
        self.program["shadow"].value = shadow
        if shadow:
            self._render(SHADOW_PARTS)
            return
        self._render(("top", "trousers", "hair"))
        self.context.enable(moderngl.CULL_FACE)  # closed surfaces: far sides need no drawing
        self._render(("skin", "eyes", "cap", "bun", "left shoe", "right shoe"))
        self.context.disable(moderngl.CULL_FACE)

    def _render(self, parts: tuple[str, ...]) -> None:
        for part in parts:
            if part in self.parts:
                self.program["part"].value = PART_CODES[part]
                self.parts[part].render()


class Renderer:
    """Holds the OpenGL objects for some figures in the room of the first, and a picture size."""

    def __init__(
        self,
        figures: Sequence[tuple[Body, Look]],
        camera: Camera,
        width_px: int,
        height_px: int,
    ) -> None:
        self.size = (width_px, height_px)
        context: Any = moderngl.create_context(standalone=True, backend="egl")  # type: ignore[arg-type]
        self.context = context
        self.canvas = context.framebuffer(
            [context.renderbuffer(self.size, 4, samples=SAMPLES)],
            context.depth_renderbuffer(self.size, samples=SAMPLES),
        )
        self.resolved = context.simple_framebuffer(self.size, 4)
        self.figures = [_Drawn(context, body, look) for body, look in figures]
        self.room = _program(context, "room")
        corners = context.buffer(np.array([-1, -1, 3, -1, -1, 3], "f4").tobytes())
        self.backdrop = context.vertex_array(self.room, [(corners, "2f", "corner")])
        look = figures[0][1]
        self.room["wall"].value = look.wall
        self.room["floor_colour"].value = look.floor
        self.room["floor_kind"].value = FLOOR_CODES[look.floor_kind]
        self.room["wall_m"].value = WALL_M
        for figure in self.figures:
            figure.program["shadow_colour"].value = tuple(SHADOW * c for c in look.floor)
        self.light(camera)
        self.aim(camera)

    def light(self, camera: Camera) -> None:
        """Put the light to the left of and above a camera."""
        yaw = np.radians(camera.yaw_deg)
        right, towards = (np.cos(yaw), np.sin(yaw)), (np.sin(yaw), -np.cos(yaw))
        a, b, up = LIGHT_FROM_CAMERA
        light = np.array([a * right[0] + b * towards[0], a * right[1] + b * towards[1], up])
        for figure in self.figures:
            figure.program["light"].value = tuple(light / np.linalg.norm(light))

    def aim(self, camera: Camera) -> None:
        """Look through this camera from now on."""
        matrix = camera.view_projection(*self.size)
        for figure in self.figures:
            figure.program["view_projection"].write(matrix.T.astype("f4").tobytes())
        self.room["from_screen"].write(np.linalg.inv(matrix).T.astype("f4").tobytes())
        for program in (self.room, *(figure.program for figure in self.figures)):
            program["eye_point"].value = tuple(camera.place_m)

    def draw(self, poses: Sequence[tuple[FloatArray, FloatArray]]) -> NDArray[np.uint8]:
        """Picture (height, width, 3) of the figures with their bones turned and placed like this.

        Parameters
        ----------
        poses : sequence of (array (B, 3, 3), array (B, 3))
            Rotations and heads of one frame of :class:`clips.kinematics.Bones`, for each figure.
        """
        for figure, pose in zip(self.figures, poses, strict=True):
            figure.pose(*pose)
        context = self.context
        self.canvas.use()
        context.clear()
        context.disable(moderngl.DEPTH_TEST)
        self.backdrop.render()
        context.enable(moderngl.DEPTH_TEST)
        for figure in self.figures:
            figure.render(shadow=True)
        for figure in self.figures:
            figure.render(shadow=False)
        context.copy_framebuffer(self.resolved, self.canvas)
        pixels = np.frombuffer(self.resolved.read(components=3), np.uint8)
        width_px, height_px = self.size
        return pixels.reshape(height_px, width_px, 3)[::-1]

    def close(self) -> None:
        """Give the OpenGL context back."""
        self.context.release()


def _program(context: Any, name: str) -> Any:
    vertex, fragment = ((SHADERS / f"{name}.{stage}").read_text() for stage in ("vert", "frag"))
    return context.program(vertex, fragment)
