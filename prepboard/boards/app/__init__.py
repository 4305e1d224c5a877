"""The application around a board: looks, the first frame, a clean end."""
