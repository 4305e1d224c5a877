"""Each bench and each place over time, as a picture."""
