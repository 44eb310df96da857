"""Repetitions as a pandas table: how deep each was."""

from annotate import repetition_table, review_clip

table = repetition_table(review_clip("clips/short/squat-side.mp4"))
print(table[["repetition", "peak_s", "depth", "trunk_deg"]].round(1).to_string(index=False))
