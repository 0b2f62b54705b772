"""What is said of a result: reasons, limits in the way, estimates, and the check of it all."""
