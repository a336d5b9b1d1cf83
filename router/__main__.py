"""`underbody` and `python -m router`: the command, which a key press ends in a line from its very start."""

import sys

try:
    from router.signals import end_at_stops

    end_at_stops()
    from router.cli import main
except KeyboardInterrupt:  # before stops had a handler
    sys.exit(130)

if __name__ == "__main__":
    main()
