"""The back's outline on photographs: upright and bent over, judged flat or rounded by eye.

python -m tests.accuracy.back_stills

Photographs are no repetitions, so nothing is flagged here. Shown are the arc bent over, in which a
back that the eye calls rounded should come out above those it calls flat although the people and
clothes differ, and the gain from upright, which crosses postures and so promises nothing. Needs
the folder of real footage beside the checkout.
"""

from __future__ import annotations

import av
import numpy as np
from rich.console import Console
from rich.table import Table

from annotate.form.back_arc import JUDGED_FRACTIONS
from pose import landmarks as lm
from pose.body.engine import chosen_engine, open_landmarker
from pose.body.follow import follow
from pose.body.model import model_file
from pose.body.outline import profile_arc_deg
from pose.persons import People
from pose.signals.geometry import trunk_inclination_deg
from pose.track import BACK_FRACTIONS
from pose.video.picture import Frame
from tests.real import REAL

PAIRS = (
    ("Good_Morning", "flat", 65),
    ("Seated_Good_Mornings", "flat", 55),
    ("Standing_Toe_Touches", "rounded", 110),
)


def seen(name: str) -> tuple[float, float]:
    """Trunk inclination and arc of the back in one photograph."""
    with av.open(str(REAL / "stills" / f"{name}.jpg")) as container:
        rgb = next(container.decode(video=0)).to_ndarray(format="rgb24")
    height, width = rgb.shape[:2]
    # Looked at more than once: the first look only finds the person.
    frames = (Frame(i / 15, np.ascontiguousarray(rgb)) for i in range(6))
    with open_landmarker(model_file(), chosen_engine()) as landmarker:
        sample = list(follow(frames, (width, height), landmarker, People()))[-1]
    hips, shoulders = (sample.xy_px[list(pair)].mean(axis=0) for pair in (lm.HIPS, lm.SHOULDERS))
    toes = sample.xy_px[[*lm.TOES, *lm.HEELS]]
    # The feet point to where the person faces.
    faces_right = toes[:2, 0].mean() > toes[2:, 0].mean()
    # Facing left, the back lies to the right of the way from hips to shoulders.
    arc = profile_arc_deg(
        BACK_FRACTIONS, sample.outline[0 if faces_right else 1], *JUDGED_FRACTIONS
    )
    assert np.isfinite(hips).all() and np.isfinite(shoulders).all()
    return float(trunk_inclination_deg(sample.xy_px[None])[0]), float(arc)


def main() -> None:
    """Print the table."""
    table = Table(title="Photographs: arc of the back upright and bent over")
    for column in ("person", "by eye", "trunk by eye", "trunk", "arc upright", "arc bent", "gain"):
        table.add_column(column)
    for name, eye, trunk in PAIRS:
        _, upright = seen(f"{name}_0")
        inclined, bent = seen(f"{name}_1")
        values = (inclined, upright, bent, bent - upright)
        table.add_row(name, eye, str(trunk), *(f"{v:.0f}" for v in values))
    Console(width=120).print(table)


if __name__ == "__main__":
    main()
