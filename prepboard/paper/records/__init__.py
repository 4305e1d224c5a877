"""What is kept: labels, the record, traces, waste, the log."""
