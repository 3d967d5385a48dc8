"""Pixels: from a photo file to readings."""
