"""`python -m packyoke`."""

from packyoke.cli import main

if __name__ == "__main__":
    main()
