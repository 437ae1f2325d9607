"""Hearing and speaking: a door to the turn, not a room. Knows no word of the trade."""
