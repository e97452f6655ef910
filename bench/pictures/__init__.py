"""Drawings of pipe and bender as plain geometry, shared by the screen and the paper."""
