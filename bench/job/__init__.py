"""The job: one frozen value of what was asked, spoken, bent and checked, and the one function that lays it out."""
