"""From pars to runs: what counts, what is short, and how much of what is made for it."""
