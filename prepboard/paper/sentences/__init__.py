"""What is said of food, dishes and sittings: in words, and in rows of signs."""
