"""The kitchen's file looked after: whole or not, copies, restoring, letting go."""
