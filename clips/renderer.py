"""Draw a dressed figure in its room, off screen, with OpenGL (EGL; software drivers will do)."""

from __future__ import annotations

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


class Renderer:
    """Holds the OpenGL objects for one body, look, camera and picture size."""

    def __init__(
        self, body: Body, look: Look, camera: Camera, width_px: int, height_px: int
    ) -> None:
        self.size = (width_px, height_px)
        self.edges = cloth_edges(body, look)
        self.body = uncovered(dressed(body, look), self.edges["trouser_z"], self.edges["sleeve_x"])
        self.rest_normals = self.body.normals()
        top = np.unique(self.body.faces["top"])
        self.hang = np.zeros_like(self.body.vertices)
        self.sagging = np.zeros(len(self.body.vertices))
        if look.loose_top:
            self.hang[top] = hang(self.body, self.body.vertices[top])
            self.sagging[top] = np.linalg.norm(self.hang[top], axis=1) > 0.004
        self._open(camera)
        self._paint(look, camera)

    def _open(self, camera: Camera) -> None:
        context: Any = moderngl.create_context(standalone=True, backend="egl")  # type: ignore[arg-type]
        self.context = context
        self.figure = _program(context, "figure")
        self.room = _program(context, "room")
        self.canvas = context.framebuffer(
            [context.renderbuffer(self.size, 4, samples=SAMPLES)],
            context.depth_renderbuffer(self.size, samples=SAMPLES),
        )
        self.resolved = context.simple_framebuffer(self.size, 4)
        count = len(self.body.vertices)
        self.positions = context.buffer(reserve=count * 12, dynamic=True)
        self.normals = context.buffer(reserve=count * 12, dynamic=True)
        rest = context.buffer(self.body.vertices.astype("f4").tobytes())
        layout = [
            (self.positions, "3f", "position"), (self.normals, "3f", "normal"), (rest, "3f", "rest")
        ]  # fmt: skip
        self.parts = {
            part: context.vertex_array(
                self.figure, layout, context.buffer(faces.astype("i4").tobytes())
            )
            for part, faces in self.body.faces.items()
        }
        corners = context.buffer(np.array([-1, -1, 3, -1, -1, 3], "f4").tobytes())
        self.backdrop = context.vertex_array(self.room, [(corners, "2f", "corner")])
        matrix = camera.view_projection(*self.size)
        self.figure["view_projection"].write(matrix.T.astype("f4").tobytes())
        self.room["from_screen"].write(np.linalg.inv(matrix).T.astype("f4").tobytes())
        for program in (self.figure, self.room):
            program["eye_point"].value = tuple(camera.place_m)

    def _paint(self, look: Look, camera: Camera) -> None:
        eyes = self.body.vertices[np.unique(self.body.faces["eyes"])]
        left = eyes[eyes[:, 0] > 0]
        yaw = np.radians(camera.yaw_deg)
        right, towards = (np.cos(yaw), np.sin(yaw)), (np.sin(yaw), -np.cos(yaw))
        a, b, up = LIGHT_FROM_CAMERA
        light = np.array([a * right[0] + b * towards[0], a * right[1] + b * towards[1], up])
        values: dict[str, Any] = {
            "light": tuple(light / np.linalg.norm(light)),
            "skin": look.skin,
            "hair": look.hair,
            "top": look.top,
            "trousers": look.trousers_colour,
            "shoe": look.shoe,
            "shadow_colour": tuple(SHADOW * channel for channel in look.floor),
            "eye_centre": (left[:, 0].mean(), left[:, 1].min() + 0.012, left[:, 2].mean()),
            "sole_z": self.body.vertices[:, 2].min() + 0.022,
            "folds": look.loose_top,
            **self.edges,
        }
        for name, value in values.items():
            self.figure[name].value = value
        self.room["wall"].value = look.wall
        self.room["floor_colour"].value = look.floor
        self.room["floor_kind"].value = FLOOR_CODES[look.floor_kind]
        self.room["wall_m"].value = WALL_M

    def draw(self, rotations: FloatArray, heads_m: FloatArray) -> NDArray[np.uint8]:
        """Picture (height, width, 3) of the figure with its bones turned and placed like this.

        Parameters
        ----------
        rotations, heads_m : array (B, 3, 3), array (B, 3)
            One frame of :class:`clips.kinematics.Bones`.
        """
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
        context = self.context
        self.canvas.use()
        context.clear()
        context.disable(moderngl.DEPTH_TEST)
        self.backdrop.render()
        context.enable(moderngl.DEPTH_TEST)
        self.figure["shadow"].value = True
        self._render(SHADOW_PARTS)
        self.figure["shadow"].value = False
        self._render(("top", "trousers", "hair"))
        context.enable(moderngl.CULL_FACE)  # closed surfaces: their far sides need no drawing
        self._render(("skin", "eyes", "cap", "bun", "left shoe", "right shoe"))
        context.disable(moderngl.CULL_FACE)
        context.copy_framebuffer(self.resolved, self.canvas)
        pixels = np.frombuffer(self.resolved.read(components=3), np.uint8)
        width_px, height_px = self.size
        return pixels.reshape(height_px, width_px, 3)[::-1]

    def _render(self, parts: tuple[str, ...]) -> None:
        for part in parts:
            if part in self.parts:
                self.figure["part"].value = PART_CODES[part]
                self.parts[part].render()

    def close(self) -> None:
        """Give the OpenGL context back."""
        self.context.release()


def _program(context: Any, name: str) -> Any:
    vertex, fragment = ((SHADERS / f"{name}.{stage}").read_text() for stage in ("vert", "frag"))
    return context.program(vertex, fragment)
