"""Loading the shared data: tables, phrases, limits, prompts and glyphs. The only room that opens `shared/`."""
