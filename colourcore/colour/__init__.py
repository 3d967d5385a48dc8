"""Numbers: colour spaces, differences, readings."""
