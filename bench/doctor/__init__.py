"""Checks of what works on this machine, what does not, and how to fix it."""
