"""What she sees and presses; nothing is decided here."""
