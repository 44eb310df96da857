"""How fast, against how fast it could be: ``python -m tests.benchmarks``."""
