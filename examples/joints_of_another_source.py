"""Count from joint positions of another source: here a stick figure that bends its knees."""

import numpy as np

from annotate import PoseTrack, review_track

times_s = np.arange(0, 20, 1 / 30)
sunk_m = 0.25 * (1 - np.cos(2 * np.pi * times_s / 2.5))  # one squat every 2.5 s
# Height in metres, fraction of the sinking it shares, and how far it goes forward of it.
figure = {"shoulder": (1.4, 1, 0), "hip": (0.9, 1, -0.3), "knee": (0.5, 0.5, 0.5)}
figure["ankle"] = (0, 0, 0)
joints, names = [], []
for joint, (height_m, share, forward) in figure.items():
    for side, left_m in (("left", 0.12), ("right", -0.12)):
        names.append(f"{side}_{joint}")
        across = np.full_like(times_s, left_m)
        joints.append(np.stack([across, height_m - share * sunk_m, forward * sunk_m], axis=1))
track = PoseTrack.from_joints(times_s, np.stack(joints, axis=1), names)
for period in review_track(track).periods:
    print(period.kind, period.movement, period.reps.count, "repetitions")
