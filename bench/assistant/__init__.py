"""The only package that imports all the others. It passes events to the dialogue and performs its effects."""
