"""Words and marks for templates."""
