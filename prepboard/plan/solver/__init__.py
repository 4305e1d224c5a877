"""Jobs placed in time with what they share. Knows no kitchens."""
