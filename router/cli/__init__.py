"""The `underbody` command: words in, words out, exit codes.

0  done; findings are printed
1  it was asked, and there is no answer: no route, or no conductor that meets the limits
2  the question cannot be read, or the answer cannot be written
70 a fault of this program

Results go to stdout, words about progress and errors to stderr. Whatever is slow to import is imported
inside the commands, and each command only when it is called, so that help and completion are quick.
"""

from router.cli.entry import COMMANDS, main

__all__ = ["COMMANDS", "main"]
