"""Paper: the job sheet and drawings for print."""
