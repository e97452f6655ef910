"""Builds Bench's own speech model: `python -m models.build`. See README.md in this folder."""
