"""From a Board to rows and pages of words. Pure."""
