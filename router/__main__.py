"""`python -m router` is the `underbody` command."""

from router.cli import main

if __name__ == "__main__":
    main()
