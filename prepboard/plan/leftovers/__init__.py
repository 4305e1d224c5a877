"""What is left over: the close, what to use first, what to fetch, and waste."""
