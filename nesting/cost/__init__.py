"""What to spend now, and what a card costs: to the cent, and adding up."""
