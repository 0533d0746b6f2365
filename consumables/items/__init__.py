"""What a thing is and what may happen to it after a client."""
