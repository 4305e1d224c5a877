"""What every command is given, and how it answers: the file, who acts where, what was typed, faults in words."""
