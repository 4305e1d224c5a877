"""What goes into a plan: all of it that the store may know."""
