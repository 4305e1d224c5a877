"""`python -m prepboard`."""

from prepboard.cli import main

if __name__ == "__main__":
    main()
