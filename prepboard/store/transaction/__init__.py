"""What actions are made of: one transaction, what it takes, how it ends, whether it may."""
