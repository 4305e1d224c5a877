"""What a book must say beyond its keys, and what is hardly meant: faults and warnings with their lines."""
