"""Commands that make, keep, move, read, label and trace food."""
