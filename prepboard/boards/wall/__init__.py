"""The whole kitchen at a glance, from across the room."""
