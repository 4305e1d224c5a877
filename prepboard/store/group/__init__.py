"""What a kitchen's file has to tell the others of its group, read for whoever carries it."""
