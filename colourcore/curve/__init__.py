"""Time: what the readings of the samples say about colour against hours."""
