"""The demonstration: a second synthetic voice speaks the person's part to the real assistant."""
