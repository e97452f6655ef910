"""The bends of the trade, one module each: a path, and the measures it asks for."""
