"""Making and storing reviews: the review folder, worker pools, many clips."""
