"""Placing: jobs in time, with the hands and places that there really are."""
