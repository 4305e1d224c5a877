"""Temperatures that were read: what they hold back, and when food will be cold."""
