"""`python -m router.reading FILE...` lists every fault of files; the same as `underbody check`."""

import sys

from router.errors import UnreadableError
from router.reading import check_file


def main(paths: list[str]) -> int:
    """Print every fault of some files; return 2 where there is one, else 0."""
    status = 0
    for path in paths:
        try:
            print(f"{path}: {check_file(path)}, no faults")
        except UnreadableError as error:
            print(error)
            status = 2
    return status


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
