"""How a figure and its room look, as data. Colours are linear-ish RGB, 0 to 1."""

from __future__ import annotations

from dataclasses import dataclass

Colour = tuple[float, float, float]


@dataclass(frozen=True)
class Look:
    """Clothes, hair, skin and room.

    Attributes
    ----------
    hair_cut : str
        cropped, bob or bun.
    loose_top : bool
        The top hangs from chest and shoulder blades instead of following the back.
    sleeve : float
        Length of the sleeve as a fraction of the arm, shoulder 0 to wrist 1.
    trousers : str
        long, knee or short.
    floor_kind : str
        boards, plain or mat.
    """

    skin: Colour
    hair: Colour
    top: Colour
    trousers_colour: Colour
    shoe: Colour
    wall: Colour
    floor: Colour
    hair_cut: str = "bob"
    loose_top: bool = False
    sleeve: float = 0.3
    trousers: str = "long"
    floor_kind: str = "boards"


LOOKS = {
    "teal": Look(
        skin=(0.86, 0.66, 0.54), hair=(0.17, 0.10, 0.06), top=(0.12, 0.46, 0.50),
        trousers_colour=(0.13, 0.13, 0.16), shoe=(0.82, 0.30, 0.24), wall=(0.78, 0.80, 0.80),
        floor=(0.52, 0.40, 0.28), hair_cut="bun", sleeve=0.12,
    ),
    "plum": Look(
        skin=(0.47, 0.31, 0.23), hair=(0.07, 0.05, 0.05), top=(0.62, 0.22, 0.40),
        trousers_colour=(0.20, 0.22, 0.34), shoe=(0.88, 0.88, 0.86), wall=(0.84, 0.80, 0.72),
        floor=(0.46, 0.46, 0.47), hair_cut="bob", sleeve=0.3, floor_kind="plain",
    ),
    "grey": Look(
        skin=(0.80, 0.60, 0.48), hair=(0.30, 0.22, 0.13), top=(0.62, 0.64, 0.66),
        trousers_colour=(0.16, 0.20, 0.30), shoe=(0.22, 0.24, 0.26), wall=(0.66, 0.72, 0.76),
        floor=(0.56, 0.47, 0.36), hair_cut="cropped", loose_top=True, sleeve=0.36,
        trousers="knee",
    ),
    "ochre": Look(
        skin=(0.62, 0.44, 0.33), hair=(0.10, 0.08, 0.07), top=(0.82, 0.60, 0.20),
        trousers_colour=(0.22, 0.24, 0.23), shoe=(0.24, 0.42, 0.66), wall=(0.86, 0.86, 0.84),
        floor=(0.34, 0.38, 0.42), hair_cut="cropped", sleeve=0.32, trousers="short",
        floor_kind="mat",
    ),
    "coral": Look(
        skin=(0.90, 0.72, 0.61), hair=(0.55, 0.36, 0.18), top=(0.90, 0.42, 0.36),
        trousers_colour=(0.30, 0.32, 0.36), shoe=(0.90, 0.90, 0.92), wall=(0.58, 0.66, 0.62),
        floor=(0.60, 0.50, 0.38), hair_cut="bun", loose_top=True, sleeve=0.34,
    ),
    "night": Look(
        skin=(0.36, 0.24, 0.18), hair=(0.05, 0.04, 0.04), top=(0.16, 0.18, 0.22),
        trousers_colour=(0.10, 0.10, 0.12), shoe=(0.70, 0.74, 0.26), wall=(0.80, 0.76, 0.70),
        floor=(0.58, 0.56, 0.52), hair_cut="cropped", sleeve=0.98, floor_kind="plain",
    ),
    "mint": Look(
        skin=(0.76, 0.55, 0.42), hair=(0.12, 0.08, 0.06), top=(0.56, 0.80, 0.70),
        trousers_colour=(0.36, 0.20, 0.30), shoe=(0.20, 0.20, 0.24), wall=(0.90, 0.88, 0.84),
        floor=(0.42, 0.30, 0.22), hair_cut="bob", sleeve=0.3, trousers="knee", floor_kind="mat",
    ),
}  # fmt: skip
