"""Write the timed script for the next take, to read or print."""

from annotate import make_script, review_clip

script = make_script(review_clip("clips/short/squat-side.mp4"))
for period in script.periods:
    print(f"{period.planned_start_s:6.1f} s  {period.label}: {period.delivered_reps} repetitions")
