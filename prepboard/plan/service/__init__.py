"""What is left while a service runs, and what is said between services."""
