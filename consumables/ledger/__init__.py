"""What happened at the desk, and what that leaves on the shelf."""
