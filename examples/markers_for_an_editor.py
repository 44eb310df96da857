"""Markers as an edit decision list on the editor's own timecode."""

from annotate import export, review_clip

markers = export(review_clip("clips/short/squat-side.mp4"), "edl", rate="25", start="01:00:00:00")
print(markers.text)
