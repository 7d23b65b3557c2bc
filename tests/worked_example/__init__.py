"""Whole jobs worked by hand, from the readings to the last size, without the library."""
