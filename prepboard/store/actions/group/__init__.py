"""What goes between the kitchens of a group: sent, received, ordered, held back; and what is heard of the others."""
