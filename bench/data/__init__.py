"""Loads the shared data: tables, phrases, limits, prompts and glyphs. The only package that opens `shared/`."""
