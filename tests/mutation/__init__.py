"""Do the tests notice when the code is wrong? Small faults put in one at a time (mutants)."""
