"""What people set and do for one evening: numbers, hands, sittings, plates, timers."""
