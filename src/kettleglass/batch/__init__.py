"""What happened: the weights of drying pieces, and what they say."""
