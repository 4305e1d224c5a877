"""Boards in a browser: the same boards, each in a process of its own, drawn as lines of text on a page."""
