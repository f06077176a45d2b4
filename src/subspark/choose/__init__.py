"""What fits, how far, and the fewest types: the rules asked many times, never restated."""
