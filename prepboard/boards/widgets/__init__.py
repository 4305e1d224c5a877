"""What is drawn: rows, lists, lines, the room they share."""
