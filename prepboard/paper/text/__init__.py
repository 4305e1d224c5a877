"""How times, days, amounts and columns are written."""
