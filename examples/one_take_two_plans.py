"""Look at a clip once and hold it against two plans."""

from annotate import ClassPlan, read_take, review_take

take = read_take("clips/short/squat-side.mp4")
for reps in (4, 6):
    block = {"name": "Squat", "movement": "squat", "work": 14, "reps": reps}
    plan = ClassPlan.model_validate({"blocks": [block]})
    print(reps, "planned:", review_take(take, plan).comparison[0].reps_diff, "more or fewer")
