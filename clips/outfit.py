"""Dress a body: shoes lofted round the feet, a top (tight or hanging), leggings, hair."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.spatial import ConvexHull, cKDTree

from clips.body import Body
from clips.kinematics import SUFFIX
from clips.looks import Look

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

SHOE_SLICES, SHOE_SPOKES = 26, 28
SHOE_WALL_M = 0.006
SOLE_M = 0.014
TIGHT_M = 0.003
SLEEVE_EASE_M = 0.010
HANG_M = 0.012
BUN_RADIUS_M = 0.042


def _tube(rings: int, spokes: int) -> IntArray:
    """Triangles of a tube of rings, closed at both ends by one more vertex each.

    They face outwards if each ring turns clockwise as seen from the last one.
    """
    faces = []
    for i in range(rings - 1):
        for j in range(spokes):
            a, b = i * spokes + j, i * spokes + (j + 1) % spokes
            faces += [[a, b, a + spokes], [b, b + spokes, a + spokes]]
    first, last = rings * spokes, rings * spokes + 1
    for j in range(spokes):
        k = (j + 1) % spokes
        end = (rings - 1) * spokes
        faces += [[first, k, j], [last, end + j, end + k]]
    return np.array(faces)


def _nearest_weights(body: Body, among: IntArray, places: FloatArray) -> csr_matrix:
    _, nearest = cKDTree(body.vertices[among]).query(places)
    return csr_matrix(body.weights[among[nearest]])


def _ring(section: FloatArray) -> FloatArray:
    """Points where spokes from the middle of a cross-section (m, 2) meet its convex outline."""
    hull = section[ConvexHull(section).vertices]
    middle = (hull.min(axis=0) + hull.max(axis=0)) / 2
    angles = 2 * np.pi * np.arange(SHOE_SPOKES) / SHOE_SPOKES
    points = []
    for spoke in np.stack([np.cos(angles), np.sin(angles)], axis=1):
        across = np.array([-spoke[1], spoke[0]])
        best = 0.0
        for a, b in zip(hull, np.roll(hull, -1, axis=0), strict=True):
            u, v = (a - middle) @ across, (b - middle) @ across
            if u * v <= 0 and u != v:
                meet = a + (b - a) * u / (u - v)
                best = max(best, float((meet - middle) @ spoke))
        points.append(middle + spoke * (best + SHOE_WALL_M))
    return np.array(points)


def _with_shoe(body: Body, side: str) -> Body:
    """Add one training shoe: rounded over the foot, flat below, open at the ankle."""
    letter, outward = SUFFIX[side], 1.0 if side == "left" else -1.0
    foot = body.vertices_of("foot", "toe")
    foot = foot[body.vertices[foot, 0] * outward > 0]
    foot = np.intersect1d(foot, np.unique(body.faces["skin"]))
    places = body.vertices[foot]
    collar = body.head_m(f"foot.{letter}")[2] + 0.012
    places = places[places[:, 2] < collar]
    toe, heel = places[:, 1].min(), places[:, 1].max()
    sole = places[:, 2].min() - SOLE_M
    rings = []
    for y in np.linspace(heel - 0.004, toe + 0.006, SHOE_SLICES):
        near = places[np.abs(places[:, 1] - y) < 0.016][:, [0, 2]]
        ring = _ring(near)
        ring[:, 1] = np.minimum(ring[:, 1], collar)
        lower = ring[:, 1] < sole + SOLE_M + 0.010
        ring[lower, 1] = sole
        rings.append(np.column_stack([ring[:, 0], np.full(SHOE_SPOKES, y), ring[:, 1]]))
    smooth = np.array(rings)
    smooth[1:-1] = (smooth[:-2] + 2 * smooth[1:-1] + smooth[2:]) / 4
    smooth[0, :, 1] += SHOE_WALL_M
    smooth[-1, :, 1] -= SHOE_WALL_M
    ends = smooth[[0, -1]].mean(axis=1)
    ends[:, 1] += [0.004, -0.006]
    vertices = np.concatenate([smooth.reshape(-1, 3), ends])
    return body.with_part(
        f"{side} shoe", vertices, _tube(SHOE_SLICES, SHOE_SPOKES),
        _nearest_weights(body, foot, vertices),
    )  # fmt: skip


def with_shoes(body: Body) -> Body:
    """The body in a pair of shoes: it stands on their soles."""
    for side in SUFFIX:
        body = _with_shoe(body, side)
    return body


def hang(body: Body, places: FloatArray) -> FloatArray:
    """Outward offsets (m, 3) that let a loose top hang straight from its widest part above.

    For every direction round the trunk the cloth keeps, going down, the largest radius met so far.
    """
    armpit = body.head_m("spine01")[2] + 0.02
    reach = abs(body.head_m("upperarm01.L")[0]) * 0.98
    trunk = (places[:, 2] < armpit) & (np.abs(places[:, 0]) < reach)
    middle_y = places[trunk, 1].mean()
    spread = np.column_stack([places[:, 0], places[:, 1] - middle_y])
    radius = np.linalg.norm(spread, axis=1)
    turns = np.arctan2(spread[:, 1], spread[:, 0])
    columns, rows = 48, 40
    low = places[trunk, 2].min()
    column = np.floor((turns + np.pi) / (2 * np.pi) * columns).astype(int) % columns
    level = (armpit - places[:, 2]) / (armpit - low) * (rows - 1)
    row = np.clip(level, 0, rows - 1).astype(int)
    outline = np.zeros((rows, columns))
    np.maximum.at(outline, (row[trunk], column[trunk]), radius[trunk])
    for i in range(rows):
        around = outline[i]
        outline[i] = np.maximum(around, (np.roll(around, 1) + np.roll(around, -1)) / 2)
        if i:
            outline[i] = np.maximum(outline[i], outline[i - 1] * 0.997)
    for _ in range(3):  # soften the fold between neighbouring columns
        outline = (np.roll(outline, 1, axis=1) + 2 * outline + np.roll(outline, -1, axis=1)) / 4
    wanted = outline[row, column] + HANG_M
    start = np.clip(level / 6, 0, 1)  # the cloth leaves the body gradually below the armpit
    grow = np.where(trunk, np.maximum(wanted - radius, 0) * start, 0.0)
    offset = np.zeros_like(places)
    offset[:, :2] = spread / np.maximum(radius, 1e-6)[:, None] * grow[:, None]
    return offset


def _with_copy(body: Body, part: str, source: str, offset_m: float) -> Body:
    """A copy of a part, moved out along its normals."""
    chosen, faces = np.unique(body.faces[source], return_inverse=True)
    alone = replace(body, faces={source: body.faces[source]})
    vertices = body.vertices[chosen] + offset_m * alone.normals()[chosen]
    return body.with_part(
        part, vertices, faces.reshape(body.faces[source].shape), csr_matrix(body.weights[chosen])
    )


def _with_bun(body: Body) -> Body:
    """A knot of hair at the back of the head."""
    head = body.vertices_of("head")
    eye_z = body.head_m("eye.L")[2]
    back = head[np.abs(body.vertices[head, 2] - eye_z - 0.055) < 0.02]
    centre = np.array([0.0, body.vertices[back, 1].max() + 0.022, eye_z + 0.06])
    rings, spokes = 9, 16
    polar = np.pi * (np.arange(rings) + 1) / (rings + 1)
    around = 2 * np.pi * np.arange(spokes) / spokes
    ball = np.array(
        [[np.sin(p) * np.cos(a), -np.sin(p) * np.sin(a), np.cos(p)] for p in polar for a in around]
        + [[0, 0, 1], [0, 0, -1]]
    )
    weights = np.zeros((len(ball), len(body.bone_names)))
    weights[:, body.bone("head")] = 1
    return body.with_part(
        "bun", centre + BUN_RADIUS_M * ball, _tube(rings, spokes), csr_matrix(weights)
    )


def dressed(body: Body, look: Look) -> Body:
    """A body in shoes, with top, leggings and hair added as parts of their own."""
    collar = body.head_m("foot.L")[2] - 0.004
    skin = body.faces["skin"]
    bare = (body.vertices[skin, 2] > collar).any(axis=1)
    body = replace(body, faces={**body.faces, "skin": skin[bare]})
    body = _with_copy(body, "trousers", "garment", 0.0)
    body = _with_copy(body, "top", "garment", SLEEVE_EASE_M if look.loose_top else TIGHT_M)
    scalp = replace(body, faces={**body.faces, "cap": _head_faces(body)})
    body = _with_copy(scalp, "cap", "cap", 0.007)
    if look.hair_cut == "bun":
        body = _with_bun(body)
    hidden = {"garment"} if look.hair_cut == "bob" else {"garment", "hair"}
    return replace(body, faces={p: f for p, f in body.faces.items() if p not in hidden})


def cloth_edges(body: Body, look: Look) -> dict[str, float]:
    """Where cloth begins and ends on the resting body, metres, by the shaders' names."""
    shoulder, wrist = body.head_m("upperarm01.L")[0], body.head_m("wrist.L")[0]
    ankle, knee, hip = (
        body.head_m(f"{bone}.L")[2] for bone in ("foot", "lowerleg01", "upperleg01")
    )
    trouser_z = {"long": ankle + 0.01, "knee": knee + 0.05, "short": (knee + hip) / 2 + 0.02}
    return {
        "sleeve_x": float(shoulder + 0.01 + look.sleeve * (wrist - shoulder)),
        "arm_z": float(hip + 0.12),
        "neck_z": float(body.head_m("neck01")[2] - 0.012),
        "hem_z": float(hip - (0.02 if look.loose_top else -0.06)),
        "waist_z": float(hip + 0.11),
        "trouser_z": float(trouser_z[look.trousers]),
    }


def uncovered(body: Body, trousers_end_z: float, sleeve_end_x: float) -> Body:
    """The body without the skin that lies well under cloth.

    It is never meant to be seen, but would poke through where a bent limb stretches the cloth.
    """
    skin = body.faces["skin"]
    corners = body.vertices[skin]
    neck_z = body.head_m("neck01")[2] - 0.07
    inside = (corners[..., 2] < neck_z) & (corners[..., 2] > trousers_end_z + 0.02)
    inside &= np.abs(corners[..., 0]) < sleeve_end_x - 0.02
    return replace(body, faces={**body.faces, "skin": skin[~inside.all(axis=1)]})


def _head_faces(body: Body) -> IntArray:
    skin = body.faces["skin"]
    above = body.vertices[skin, 2] > body.head_m("eye.L")[2] - 0.1
    return np.asarray(skin[above.all(axis=1)])
