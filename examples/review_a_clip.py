"""Review a rehearsal against its plan and print what differed."""

from annotate import review_clip

review = review_clip("clips/demo/harbour.mp4", plan="clips/demo/harbour.plan.yaml")
for row in review.comparison:
    if row.status != "as planned":
        print(row.planned.label if row.planned else "Not in the plan", "-", row.text)
