"""Lets ``python -m shipopt`` be the command ``shipopt``."""

from shipopt.cli import main

if __name__ == "__main__":
    main()
