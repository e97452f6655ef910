"""The job sheet and drawings for print."""
