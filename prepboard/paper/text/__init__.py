"""Words and lines: how times, amounts, reasons and notes are said."""
