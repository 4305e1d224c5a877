"""Small questions over a board. Escape always leaves them without doing anything."""
