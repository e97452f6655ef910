"""The voice: renders words to sound and plays them, interruptible at any time."""
