"""The questions, their keys, and the one judge."""
