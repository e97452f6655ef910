"""Drawings of pipe and bender as plain geometry: the screen and the paper paint the same ones."""
