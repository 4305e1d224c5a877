"""The printed lists of the day."""
