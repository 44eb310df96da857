"""A human body at rest: its meshes, its skeleton, and skinning (bones move the vertices).

Axes: z up, the person faces -y, the person's left is +x, metres.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix, vstack

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

BODIES = Path(__file__).parent / "bodies"


@dataclass(frozen=True)
class Body:
    """Rest meshes over one list of vertices, and the skeleton that carries them.

    Attributes
    ----------
    vertices : array, shape (V, 3)
        Rest positions, metres.
    faces : dict of array, shape (F, 3)
        Triangles by part: ``skin``, ``eyes``, ``garment``, ``hair`` and what an outfit adds.
    weights : sparse, shape (V, B)
        Weight of each bone in each vertex; each row sums to 1.
    bone_names, bone_parents, bone_heads : tuple, array (B,), array (B, 3)
        Parents come before children; the root's parent is -1.
    """

    name: str
    vertices: FloatArray
    faces: dict[str, IntArray]
    weights: csr_matrix
    bone_names: tuple[str, ...]
    bone_parents: IntArray
    bone_heads: FloatArray

    def bone(self, name: str) -> int:
        """Index of a bone."""
        return self.bone_names.index(name)

    def head_m(self, name: str) -> FloatArray:
        """Rest position of a bone's near end, metres."""
        return np.asarray(self.bone_heads[self.bone(name)])

    def vertices_of(self, *prefixes: str) -> IntArray:
        """Vertices carried mostly by bones whose names start with one of the prefixes."""
        columns = [i for i, name in enumerate(self.bone_names) if name.startswith(prefixes)]
        share = np.asarray(self.weights[:, columns].sum(axis=1)).ravel()
        return np.flatnonzero(share > 0.5)

    def normals(self) -> FloatArray:
        """Unit normals of the rest vertices, shape (V, 3), averaged over the faces of each."""
        total = np.zeros_like(self.vertices)
        for faces in self.faces.values():
            a, b, c = (self.vertices[faces[:, i]] for i in range(3))
            area = np.cross(b - a, c - a)
            for i in range(3):
                np.add.at(total, faces[:, i], area)
        return np.asarray(total / np.maximum(np.linalg.norm(total, axis=1, keepdims=True), 1e-12))

    def with_part(
        self, part: str, vertices: FloatArray, faces: IntArray, weights: csr_matrix
    ) -> Body:
        """The same body with one more mesh; ``faces`` index the new vertices from 0."""
        return replace(
            self,
            vertices=np.concatenate([self.vertices, vertices]),
            faces={**self.faces, part: faces + len(self.vertices)},
            weights=csr_matrix(vstack([self.weights, weights])),
        )


def load_body(name: str) -> Body:
    """Read a committed body by name.

    Raises
    ------
    ValueError
        No such body.
    """
    path = BODIES / f"{name}.npz"
    if not path.exists():
        known = ", ".join(sorted(p.stem for p in BODIES.glob("*.npz")))
        raise ValueError(f"no body named {name!r}; there are {known}")
    with np.load(path) as data:
        bone_names = tuple(str(bone) for bone in data["bone_names"])
        bones = data["weight_bones"].astype(np.int64)
        share = data["weights"].astype(np.float64)
        share /= share.sum(axis=1, keepdims=True)
        rows = np.repeat(np.arange(len(bones)), bones.shape[1])
        weights = csr_matrix(
            (share.ravel(), (rows, bones.ravel())), shape=(len(bones), len(bone_names))
        )
        parts = ("skin", "garment", "hair")
        faces = {part: data[f"{part}_faces"].astype(np.int64) for part in parts}
        body = Body(
            name=name,
            vertices=data["vertices"].astype(np.float64),
            faces=faces,
            weights=weights,
            bone_names=bone_names,
            bone_parents=data["bone_parents"].astype(np.int64),
            bone_heads=data["bone_heads"].astype(np.float64),
        )
    return _with_eyes_apart(body)


def _with_eyes_apart(body: Body) -> Body:
    """Eyeballs are part of the skin mesh; make them a part of their own, to colour them."""
    is_eye = np.zeros(len(body.vertices), dtype=bool)
    is_eye[body.vertices_of("eye.")] = True
    skin = body.faces["skin"]
    eye_face = is_eye[skin].all(axis=1)
    return replace(body, faces={**body.faces, "skin": skin[~eye_face], "eyes": skin[eye_face]})


def skin_vertices(
    vertices: FloatArray,
    weights: csr_matrix,
    bone_heads: FloatArray,
    rotations: FloatArray,
    heads: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Linear blend skinning of one frame.

    Parameters
    ----------
    vertices, weights : array (V, 3), sparse (V, B)
        Rest positions and bone weights.
    bone_heads : array, shape (B, 3)
        Rest positions of the bones.
    rotations, heads : array (B, 3, 3), array (B, 3)
        Turn of each bone from rest, and its place now.

    Returns
    -------
    positions : array, shape (V, 3)
        Places of the vertices, metres.
    turns : array, shape (V, 3, 3)
        Blended rotations, which also carry the normals.
    """
    shift = heads - np.einsum("bij,bj->bi", rotations, bone_heads)
    blended = weights @ np.concatenate([rotations.reshape(-1, 9), shift], axis=1)
    turns = blended[:, :9].reshape(-1, 3, 3)
    return np.einsum("vij,vj->vi", turns, vertices) + blended[:, 9:], turns
