"""Postures to bones: forward kinematics of many frames at once, and two-bone limb correction."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from clips.body import Body
from clips.posture import COLUMN, SIDES

FloatArray = NDArray[np.float64]

LUMBAR_SHARE = {"spine04": 0.35, "spine03": 0.40, "spine02": 0.25}
BEND_SHARE = {"spine04": 0.2, "spine03": 0.3, "spine02": 0.3, "spine01": 0.2}
NECK_SHARE = {"neck01": 0.35, "neck03": 0.30, "head": 0.35}
CLAVICLE_SHARE = 0.15  # of the arm's elevation above CLAVICLE_START_DEG
CLAVICLE_START_DEG = 30.0
SUFFIX = {"left": "L", "right": "R"}
LIMBS = {  # limb: (upper bone, lower bone, end bone)
    "leg": ("upperleg01", "lowerleg01", "foot"),
    "arm": ("upperarm01", "lowerarm01", "wrist"),
}


@dataclass(frozen=True)
class Bones:
    """Where the bones are: turns from rest (n, B, 3, 3) and near ends (n, B, 3) in metres."""

    rotations: FloatArray
    heads_m: FloatArray


def turn_about(axis: FloatArray, degrees: FloatArray) -> FloatArray:
    """Rotation matrices about unit axes; ``axis`` (3,) or (n, 3), ``degrees`` (n,)."""
    angle = np.radians(degrees)[:, None, None]
    x, y, z = np.broadcast_to(axis, (len(degrees), 3)).T
    zero = np.zeros_like(x)
    cross = np.array([[zero, -z, y], [z, zero, -x], [-y, x, zero]]).transpose(2, 0, 1)
    return np.asarray(np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * (cross @ cross))


def smallest_turn(start: FloatArray, end: FloatArray) -> FloatArray:
    """Rotations (n, 3, 3) that take one direction to another by the shortest way; (n, 3) each."""
    a = start / np.linalg.norm(start, axis=-1, keepdims=True)
    b = end / np.linalg.norm(end, axis=-1, keepdims=True)
    a, b = np.broadcast_arrays(a, b)
    x, y, z = np.cross(a, b).T
    zero = np.zeros_like(x)
    cross = np.array([[zero, -z, y], [z, zero, -x], [-y, x, zero]]).transpose(2, 0, 1)
    cosine = np.maximum((a * b).sum(axis=1), -0.9999)[:, None, None]
    return np.asarray(np.eye(3) + cross + cross @ cross / (1 + cosine))


def limb_direction(forward_deg: FloatArray, out_deg: FloatArray, side: str) -> FloatArray:
    """Unit vectors (n, 3) of a limb that hangs straight down at 0, 0."""
    forward, out = np.radians(forward_deg), np.radians(out_deg)
    outward = 1.0 if side == "left" else -1.0
    return np.stack(
        [
            outward * np.sin(out),
            -np.sin(forward) * np.cos(out),
            -np.cos(forward) * np.cos(out),
        ],
        axis=1,
    )


def _curl_axes(body: Body, letter: str) -> FloatArray:
    """Axis about which the fingers of a resting hand bend further, from their natural bend."""
    axes = []
    for finger in "2345":
        first, second, third = (body.head_m(f"finger{finger}-{j}.{letter}") for j in "123")
        axis = np.cross(second - first, third - second)
        axes.append(axis / np.linalg.norm(axis))
    mean = np.mean(axes, axis=0)
    return np.asarray(mean / np.linalg.norm(mean))


def _flat_hand(body: Body, letter: str) -> FloatArray:
    """Rotation (3, 3) that lays a resting hand flat on the floor, fingers forward."""
    wrist, middle = body.head_m(f"wrist.{letter}"), body.head_m(f"finger3-1.{letter}")
    across = body.head_m(f"finger5-1.{letter}") - body.head_m(f"finger2-1.{letter}")
    along = (middle - wrist) / np.linalg.norm(middle - wrist)
    across -= (across @ along) * along
    across /= np.linalg.norm(across)
    outward = np.array([1.0 if letter == "L" else -1.0, 0.0, 0.0])
    ahead = np.array([0.0, -1.0, 0.0])
    resting = np.stack([along, across, np.cross(along, across)], axis=1)
    flat = np.stack([ahead, outward, np.cross(ahead, outward)], axis=1)
    return np.asarray(flat @ resting.T)


def _towards(start: FloatArray, end: FloatArray, share: FloatArray) -> FloatArray:
    """Rotations a fraction (n,) of the way from ``start`` to ``end``, both (n, 3, 3)."""
    mixed = start + share[:, None, None] * (end - start)
    u, _, vh = np.linalg.svd(mixed)
    return np.asarray(u @ vh)


def _local_turns(body: Body, postures: FloatArray) -> dict[str, FloatArray]:
    """Turns (n, 3, 3) of spine, neck and fingers against the bone they grow from."""
    x, y, z = np.eye(3)

    def angle(name: str) -> FloatArray:
        return postures[:, COLUMN[name]]

    local = {}
    for bone, share in BEND_SHARE.items():
        flexion = angle("lumbar") * LUMBAR_SHARE.get(bone, 0.0)
        if bone == "spine01":
            flexion = angle("thoracic")
        sideways = turn_about(y, angle("trunk_side") * share)
        local[bone] = turn_about(z, angle("trunk_turn") * share) @ sideways @ turn_about(x, flexion)
    for bone, share in NECK_SHARE.items():
        local[bone] = turn_about(z, angle("neck_turn") * share) @ turn_about(
            x, angle("neck") * share
        )
    for side in SIDES:
        letter = SUFFIX[side]
        raised = np.maximum(angle(f"{side}_arm_out") - CLAVICLE_START_DEG, 0.0)
        outward = -1.0 if side == "left" else 1.0
        local[f"clavicle.{letter}"] = turn_about(y, outward * CLAVICLE_SHARE * raised)
        axis = _curl_axes(body, letter)
        bend = turn_about(axis, angle(f"{side}_finger_curl"))
        for finger in "2345":
            for joint in "123":
                local[f"finger{finger}-{joint}.{letter}"] = bend
        toes = turn_about(x, -angle(f"{side}_toe_bend"))
        for toe in "12345":
            local[f"toe{toe}-1.{letter}"] = toes
    return local


def _chain(
    body: Body,
    postures: FloatArray,
    pelvis_deg: FloatArray,
    local: dict[str, FloatArray],
    limbs: dict[str, FloatArray],
) -> Bones:
    """One pass from the root to the tips, given the pelvis' pitch (n,)."""
    n, count = len(postures), len(body.bone_names)
    rotations = np.empty((n, count, 3, 3))
    heads = np.empty((n, count, 3))
    x = np.array([1.0, 0.0, 0.0])

    def angle(name: str) -> FloatArray:
        return postures[:, COLUMN[name]]

    for i, bone in enumerate(body.bone_names):
        parent = int(body.bone_parents[i])
        if parent < 0:
            rotations[:, i] = turn_about(x, pelvis_deg)
            heads[:, i] = body.bone_heads[i]
            continue
        carried = rotations[:, parent]
        reach = body.bone_heads[i] - body.bone_heads[parent]
        heads[:, i] = heads[:, parent] + carried @ reach
        stem, _, letter = bone.partition(".")
        side = "left" if letter == "L" else "right"
        if bone in limbs:
            rotations[:, i] = limbs[bone]
        elif bone in local:
            rotations[:, i] = carried @ local[bone]
        elif stem in ("upperarm01", "lowerarm01"):
            segment = "arm" if stem == "upperarm01" else "forearm"
            far = "lowerarm01" if stem == "upperarm01" else "wrist"
            along = body.head_m(f"{far}.{letter}") - body.bone_heads[i]
            wanted = limb_direction(
                angle(f"{side}_{segment}_forward"), angle(f"{side}_{segment}_out"), side
            )
            rotations[:, i] = smallest_turn(carried @ along, wanted) @ carried
        elif stem in ("upperleg01", "lowerleg01"):
            # Swing forward after swinging out, so that the knee stays a hinge about one axis.
            segment = "thigh" if stem == "upperleg01" else "shank"
            far = "lowerleg01" if stem == "upperleg01" else "foot"
            along = body.head_m(f"{far}.{letter}") - body.bone_heads[i]
            hanging = limb_direction(np.zeros(n), angle(f"{side}_{segment}_out"), side)
            outward = smallest_turn(along[None, :], hanging)
            rotations[:, i] = turn_about(x, -angle(f"{side}_{segment}_forward")) @ outward
        elif stem == "foot":
            rotations[:, i] = turn_about(x, angle(f"{side}_foot_down"))
        elif stem == "wrist":
            flat = np.broadcast_to(_flat_hand(body, letter), (n, 3, 3))
            rotations[:, i] = _towards(carried, flat, angle(f"{side}_palm_flat"))
        else:
            rotations[:, i] = carried
    return Bones(rotations, heads)


def middle_m(body: Body, bones: Bones, stem: str) -> FloatArray:
    """Midpoint (n, 3) of a bone pair such as the hips."""
    left, right = body.bone(f"{stem}.L"), body.bone(f"{stem}.R")
    return (bones.heads_m[:, left] + bones.heads_m[:, right]) / 2


def pose_bones(
    body: Body, postures: FloatArray, limbs: dict[str, FloatArray] | None = None
) -> Bones:
    """Forward kinematics with the pelvis at its rest place.

    The pelvis' pitch is solved for, so that the line from hips to shoulders has the inclination
    the posture asks for however far the lower back is flexed.

    Parameters
    ----------
    postures : array, shape (n, len(ANGLES))
        Degrees.
    limbs : dict of array (n, 3, 3), optional
        Corrected turns of limb bones (:func:`reach_limb`), taken instead of the posture's own.
    """
    limbs = limbs or {}
    local = _local_turns(body, postures)
    lean = postures[:, COLUMN["trunk_lean"]]
    pelvis = lean - 0.5 * postures[:, COLUMN["lumbar"]]
    bones = _chain(body, postures, pelvis, local, limbs)
    for _ in range(3):
        trunk = middle_m(body, bones, "upperarm01") - middle_m(body, bones, "upperleg01")
        pelvis = pelvis + lean - np.degrees(np.arctan2(-trunk[:, 1], trunk[:, 2]))
        bones = _chain(body, postures, pelvis, local, limbs)
    return bones


def reach_limb(
    body: Body, bones: Bones, limb: str, side: str, shift_m: FloatArray
) -> dict[str, FloatArray]:
    """Turns of the two bones of a limb that move its end by ``shift_m`` (n, 3).

    The hinge keeps its plane; a target out of reach is met as far as the limb goes.
    """
    letter = SUFFIX[side]
    upper, lower, end = (f"{stem}.{letter}" for stem in LIMBS[limb])
    u, w, e = body.bone(upper), body.bone(lower), body.bone(end)
    root, hinge, tip = (bones.heads_m[:, i] for i in (u, w, e))
    long_upper = np.linalg.norm(hinge - root, axis=1)
    long_lower = np.linalg.norm(tip - hinge, axis=1)
    wanted = tip + shift_m - root
    distance = np.linalg.norm(wanted, axis=1)
    distance = np.clip(
        distance, np.abs(long_upper - long_lower) + 1e-3, (long_upper + long_lower) * 0.9995
    )
    swing = smallest_turn(tip - root, wanted)
    # The knee bends about the thigh's own lateral axis; the elbow about the plane it shows.
    before = np.cross(hinge - root, tip - hinge)
    lateral = bones.rotations[:, u, :, 0] * (1.0 if limb == "leg" else -1.0)
    straight = (
        np.linalg.norm(before, axis=1, keepdims=True) < 0.1 * (long_upper * long_lower)[:, None]
    )
    axis = np.where(straight, lateral, before)
    axis = np.einsum("nij,nj->ni", swing, axis)
    aim = wanted / np.linalg.norm(wanted, axis=1, keepdims=True)
    axis -= (axis * aim).sum(axis=1, keepdims=True) * aim
    axis /= np.linalg.norm(axis, axis=1, keepdims=True)
    cosine = (long_upper**2 + distance**2 - long_lower**2) / (2 * long_upper * distance)
    apart = np.degrees(np.arccos(np.clip(cosine, -1, 1)))
    upper_now = np.einsum("nij,nj->ni", turn_about(axis, -apart), aim)
    lower_now = aim * distance[:, None] - upper_now * long_upper[:, None]
    return {
        upper: smallest_turn(np.einsum("nij,nj->ni", swing, hinge - root), upper_now)
        @ swing
        @ bones.rotations[:, u],
        lower: smallest_turn(np.einsum("nij,nj->ni", swing, tip - hinge), lower_now)
        @ swing
        @ bones.rotations[:, w],
    }
