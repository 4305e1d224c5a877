"""A bench's own board."""
