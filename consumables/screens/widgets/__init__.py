"""The parts every screen is built of: the top line, the list, the key line, the questions."""
