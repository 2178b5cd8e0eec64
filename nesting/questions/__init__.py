"""Questions asked the other way round: how many cards from this paper, which batch size, what now."""
