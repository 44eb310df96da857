"""Export one parametric human to the small archive that :mod:`clips.body` reads.

Needs the ``figures`` extra (``anny``, ``torch``); run once per body, never while rendering::

    python -m clips.export_body clips/bodies/woman-a.npz --gender 1.0 --weight 0.4

The body data inside ``anny`` come from MakeHuman and are in the public domain (CC0).
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

ADULT_AGE = 0.67  # the model's age axis: 0.33 is a child, 0.67 a young adult, 1 very old
WEIGHTS_PER_VERTEX = 6

FloatArray = NDArray[np.floating[Any]]
IntArray = NDArray[np.integer[Any]]


def write_body(
    path: Path,
    vertices: FloatArray,
    faces: dict[str, IntArray],
    bone_names: list[str],
    bone_parents: IntArray,
    bone_heads: FloatArray,
    skin_weights: tuple[IntArray, FloatArray],
) -> None:
    """Drop what is never drawn, keep the largest skin weights, and write the archive.

    Parameters
    ----------
    path : Path
        The ``.npz`` to write.
    vertices : array, shape (V, 3)
        Rest positions in metres, z up, facing -y.
    faces : dict of array, shape (F, 3)
        Triangles of ``skin``, ``garment`` and ``hair``, indexing ``vertices``.
    bone_names, bone_parents, bone_heads : list, array (B,), array (B, 3)
        The skeleton; parents come before children, the root's parent is -1.
    skin_weights : two arrays, shape (V, K)
        Bone indices of each vertex and their weights.
    """
    weight_bones, weights = skin_weights
    kept = np.unique(np.concatenate([f.ravel() for f in faces.values()]))
    renumber = np.full(len(vertices), -1)
    renumber[kept] = np.arange(len(kept))
    largest = np.argsort(-weights[kept], axis=1)[:, :WEIGHTS_PER_VERTEX]
    top = np.take_along_axis(weights[kept], largest, 1).astype(np.float64)
    top /= top.sum(axis=1, keepdims=True)
    parents = np.asarray([-1 if p is None else int(p) for p in bone_parents])
    np.savez_compressed(
        path,
        vertices=vertices[kept].astype(np.float32),
        bone_names=np.array(bone_names),
        bone_parents=parents.astype(np.int16),
        bone_heads=bone_heads.astype(np.float32),
        weight_bones=np.take_along_axis(weight_bones[kept], largest, 1).astype(np.uint8),
        weights=np.round(top * 255).astype(np.uint8),
        **{f"{part}_faces": renumber[f].astype(np.uint16) for part, f in faces.items()},
    )


def helper_faces(base_obj: Path, group: str) -> IntArray:
    """Read the triangles of one named group of the base mesh (hair and garment proxies)."""
    current, triangles = "", []
    for line in base_obj.read_text().splitlines():
        if line.startswith("g "):
            current = line.split()[1]
        elif line.startswith("f ") and current == group:
            corners = [int(corner.split("/")[0]) - 1 for corner in line.split()[1:]]
            triangles += [
                [corners[0], corners[i], corners[i + 1]] for i in range(1, len(corners) - 1)
            ]
    return np.array(triangles)


def export(path: Path, *, gender: float, weight: float, height: float, muscle: float) -> None:
    """Build a body from its phenotype (each value 0 to 1; gender 0 is male) and write it."""
    import anny  # type: ignore[import-not-found, unused-ignore]
    import torch  # type: ignore[import-not-found, unused-ignore]

    model = anny.Anny(topology="anny-full")
    phenotype = {
        "gender": gender,
        "age": ADULT_AGE,
        "muscle": muscle,
        "weight": weight,
        "height": height,
        "proportions": 0.7,
    }
    with torch.no_grad():
        output = model(
            None, phenotype_kwargs={key: torch.tensor([value]) for key, value in phenotype.items()}
        )
    base = Path(anny.__file__).parent / "data/mpfb2/3dobjs/base.obj"
    write_body(
        path,
        output["rest_vertices"][0].numpy(),
        {
            "skin": model.faces.numpy(),
            "garment": helper_faces(base, "helper-tights"),
            "hair": helper_faces(base, "helper-hair"),
        },
        list(model.bone_labels),
        model.bone_parents,
        output["rest_bone_heads"][0].numpy(),
        (model.vertex_bone_indices.numpy(), model.vertex_bone_weights.numpy()),
    )


def main() -> None:
    """Command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("path", type=Path)
    for name, default in (("gender", 1.0), ("weight", 0.4), ("height", 0.5), ("muscle", 0.6)):
        parser.add_argument(f"--{name}", type=float, default=default)
    arguments = vars(parser.parse_args())
    export(arguments.pop("path"), **arguments)


if __name__ == "__main__":
    main()
