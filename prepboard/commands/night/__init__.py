"""Commands of one evening: its numbers, its sittings, dishes and plates, what people tell each other, the close."""
