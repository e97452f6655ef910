"""What the pipe does: lengths, benders, marks, simulation, bends, corrections, sticks. Pure."""
