"""A run: when its steps lie, what it takes, and until when what it gives is good; the stock that needs draw on."""
