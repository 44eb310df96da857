"""How the pictures of a clip are prepared for the networks, the same everywhere."""

from __future__ import annotations

from pose.video.decode import STAMP_ROUNDING_S

# The landmark network sees a person on 256 pixels, so one who takes up two fifths of the picture
# loses nothing.
MAX_SIDE_PX = 640


def after_key(key_s: float, sample_rate_hz: float) -> float:
    """The start to ask for so that decoding begins at this key frame.

    Decoding begins one sampling step early: asked for the key frame itself, it would decode
    everything from the key frame before.
    """
    return key_s + 1 / sample_rate_hz + STAMP_ROUNDING_S if key_s > 0 else 0.0
