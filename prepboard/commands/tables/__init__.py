"""Tables: what a spreadsheet, a till or a supplier says, and what history learns of it."""
