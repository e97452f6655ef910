"""Showing: one huge number, what to do, what can be said, the pipe drawn."""
