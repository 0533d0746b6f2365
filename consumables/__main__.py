"""`python -m consumables` is the same as `consumables`."""

from consumables.cli import main

if __name__ == "__main__":
    main()
