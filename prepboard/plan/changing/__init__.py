"""Numbers typed and not saved, and what they would change."""
