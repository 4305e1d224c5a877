"""prepboard: what a kitchen makes, holds, plates and throws away, on one shared file."""
