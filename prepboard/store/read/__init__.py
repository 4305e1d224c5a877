"""From rows to the State of a plan: one snapshot, and what changed since the last."""
