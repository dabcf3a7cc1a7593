"""Choosing parts for all open positions of a build at once."""
