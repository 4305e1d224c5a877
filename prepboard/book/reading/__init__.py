"""TOML in, a Book or faults with their lines out."""
