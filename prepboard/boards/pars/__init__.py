"""The sous chef's board."""
