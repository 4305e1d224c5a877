"""The guide that travels with prepboard: pages of Markdown, two of them made of what the program itself knows."""
