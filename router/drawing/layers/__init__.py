"""What is drawn of a vehicle, a plan, a judged route."""
