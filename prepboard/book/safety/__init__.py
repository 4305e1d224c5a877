"""What a food code asks of food: its life, its temperatures, its cooling and holding, and what it may do to guests."""
