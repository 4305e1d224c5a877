"""The close's board."""
