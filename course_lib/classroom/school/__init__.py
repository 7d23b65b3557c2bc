"""The teacher's side: setting work, marking it, what goes back."""
