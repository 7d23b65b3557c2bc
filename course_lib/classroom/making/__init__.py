"""Making the lessons from the solutions, and listing what is in them."""
