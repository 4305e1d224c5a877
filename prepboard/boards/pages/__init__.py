"""What is opened over a board, to read and to act from."""
