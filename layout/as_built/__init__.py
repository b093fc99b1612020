"""What the crew really marked, set and cut, mark by mark, and the moves that somebody has to say yes to."""
