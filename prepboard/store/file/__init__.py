"""The file itself: opening, writing, migrations, its chain; it knows no kitchen."""
