"""Pages: each module holds those of one subject."""
