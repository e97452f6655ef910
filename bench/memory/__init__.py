"""Storage of jobs, steps, settings and the log of what was heard, in one SQLite file."""
