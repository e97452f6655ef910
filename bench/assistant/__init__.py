"""The only package that imports all the others: takes events to the dialogue and performs its effects."""
