"""What a nail desk uses up, washes, bins and must buy, with the rule behind each answer."""

__version__ = "0.1.0"
