"""One home as JSON, for other programs, in a published shape."""
