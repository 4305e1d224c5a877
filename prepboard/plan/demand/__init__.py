"""What the guests will take: occasions, shares, history, pars."""
