"""What people do with food: made, counted, brought elsewhere, read, held back, withdrawn."""
