"""From pars to runs: what counts, what is short, how much is made, and when it could be."""
