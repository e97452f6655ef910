"""Bench: a hands-free, offline assistant for the electrician who bends conduit by hand."""

__version__ = "0.2.0"
