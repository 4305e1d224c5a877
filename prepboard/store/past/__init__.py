"""What was: the log, the record, the traces. No plan is worked out from it."""
