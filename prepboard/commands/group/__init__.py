"""Commands of a group of kitchens."""
