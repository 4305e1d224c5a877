"""Runs placed with the hands and places that there really are, and what the lines then say."""
