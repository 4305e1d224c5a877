"""The shared file: one SQLite file that every station of a kitchen reads and writes."""
