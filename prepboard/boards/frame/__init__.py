"""What all boards share: their frame, staying live, answers and news."""
