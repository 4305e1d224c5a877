"""`show`: what is written down, what lies ahead, what has been, the file itself."""
