"""The demonstration: a second synthetic voice plays the person and talks to the real assistant."""
