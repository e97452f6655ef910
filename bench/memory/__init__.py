"""Remembering: jobs, steps, settings, benders, the log of what was heard."""
