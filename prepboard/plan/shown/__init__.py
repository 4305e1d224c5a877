"""The lines that come out of a plan."""
