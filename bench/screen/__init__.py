"""The screen: one huge number, what to do, what can be said, and drawings of the pipe."""
