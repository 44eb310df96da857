"""Both engines side by side: how far apart their landmarks and masks are, and what each costs.

python -m tests.accuracy.engines

mediapipe 0.10.21 is the reference: the same two networks, run by their makers' library. Where it is
not installed only the cost of the other one is printed.
"""

from __future__ import annotations

import math
import platform
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from rich.console import Console
from rich.table import Table

from pose.body.engine import Engine, open_landmarker, runtime
from pose.body.landmarker import Mask, Person
from pose.body.model import model_file
from pose.extract.chunks import SAMPLE_RATE_HZ
from pose.extract.pictures import MAX_SIDE_PX
from pose.video.decode import frames
from pose.video.picture import Frame

CLIPS = sorted((Path(__file__).parents[2] / "clips" / "short").glob("*.mp4"))
MODULES: dict[Engine, str] = {"litert": "ai_edge_litert", "mediapipe": "mediapipe"}
# Pictures shown before the clock starts: opening and the first ones are slower.
_FIRST = 5


@dataclass(frozen=True, eq=False)
class Compared:
    """One picture, seen by both.

    Attributes
    ----------
    off_px : (33,) float64
        Distances of the landmarks, pixels of the picture as it was looked at.
    overlap : float
        Intersection over union of the masks.
    """

    off_px: NDArray[np.float64]
    overlap: float


def compare(clips: Sequence[Path], end_s: float = math.inf) -> Iterator[Compared]:
    """Track the person of each clip with both engines, at the rate and size in use."""
    with ExitStack() as opened:
        litert, reference = (
            opened.enter_context(open_landmarker(model_file(), engine))
            for engine in ("litert", "mediapipe")
        )
        for clip in clips:
            litert.reset()
            reference.reset()
            for frame in pictures(clip, end_s):
                found, expected = litert.track(frame.rgb), reference.track(frame.rgb)
                assert found is not None and expected is not None, (clip.name, frame.time_s)
                yield _compared(found, expected, frame)


def pictures(clip: Path, end_s: float = math.inf) -> Iterator[Frame]:
    """Pictures of a clip as they are looked at in use."""
    return frames(
        clip,
        sample_rate_hz=SAMPLE_RATE_HZ,
        end_s=end_s,
        max_side_px=MAX_SIDE_PX,
    )


def _compared(found: Person, expected: Person, frame: Frame) -> Compared:
    height, width = frame.rgb.shape[:2]
    off_px = np.linalg.norm((found.xy - expected.xy) * (width, height), axis=1)
    assert found.mask is not None and expected.mask is not None
    a, b = (_in_picture(mask, (width, height)) > 0.5 for mask in (found.mask, expected.mask))
    return Compared(off_px, float((a & b).sum() / (a | b).sum()))


def _in_picture(mask: Mask, size_px: tuple[int, int]) -> NDArray[np.float32]:
    return np.asarray(
        cv2.warpAffine(
            mask.values, mask.from_picture, size_px, flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        )
    )


def core_ms(engine: Engine, shown: Sequence[Frame]) -> tuple[float, float]:
    """Processor milliseconds a picture: tracking with the mask, and searching everybody."""
    with open_landmarker(model_file(), engine) as landmarker:
        return _each(landmarker.track, shown), _each(landmarker.search, shown)


def _each(find: Callable[[NDArray[np.uint8]], object], shown: Sequence[Frame]) -> float:
    for frame in shown[:_FIRST]:
        find(frame.rgb)
    began = time.process_time()
    for frame in shown[_FIRST:]:
        find(frame.rgb)
    return (time.process_time() - began) / (len(shown) - _FIRST) * 1e3


def main() -> None:
    """Print both tables."""
    console = Console()
    installed = [e for e, module in MODULES.items() if find_spec(module)]
    costs = Table("engine", "Python", "numpy", "track, core-ms", "search, core-ms")
    shown = [frame for clip in CLIPS[:3] for frame in pictures(clip)]
    for engine in installed:
        track_ms, search_ms = core_ms(engine, shown)
        version = platform.python_version()
        costs.add_row(
            runtime(engine), version, np.__version__, f"{track_ms:.1f}", f"{search_ms:.1f}"
        )
    console.print(costs)
    if len(installed) < len(MODULES):
        return
    agreement = Table("clip", "pictures", "median px", "99 % px", "largest px", "mask overlap")
    everything: list[Compared] = []
    for clip in CLIPS:
        seen = list(compare([clip]))
        everything += seen
        agreement.add_row(*_row(clip.stem, seen))
    agreement.add_row(*_row("all", everything))
    console.print(agreement)


def _row(name: str, seen: Sequence[Compared]) -> list[str]:
    off_px = np.concatenate([c.off_px for c in seen])
    overlap = np.median([c.overlap for c in seen])
    median, high = np.percentile(off_px, [50, 99])
    pixels = [f"{median:.2f}", f"{high:.2f}", f"{off_px.max():.1f}"]
    return [name, str(len(seen)), *pixels, f"{overlap:.3f}"]


if __name__ == "__main__":
    main()
