"""What a club shares: when what may be done with a part, who waits for it, who is told."""
