"""The command itself: its group, its exit codes, and what is said when something goes wrong."""

from __future__ import annotations

import gc
import importlib
import os
import sys
from collections.abc import Sequence

import click

from router.cli.streams import keep_streams, words_lost
from router.cli.terminal import DONE, INTERRUPTED, NO_ANSWER, OWN_FAULT, UNREADABLE, Refusal, one_line
from router.errors import NoAnswerError, UnreadableError, shown
from router.signals import Stopped, stopped
from router.version import __version__

COMMANDS = {
    "sketch": "Draw a vehicle and place a job, in the browser.",
    "plan": "Plan a job: map, sheet, bill and data.",
    "check": "List every fault of some files.",
    "measure": "Print what to measure on a vehicle: a sheet with boxes.",
    "show": "Draw a vehicle alone.",
    "review": "Judge a route that somebody drew, or standard routes.",
    "fleet": "Plan many vehicles: one order, how to cut the reels, kits.",
    "lesson": "Make training sheets with answers.",
    "compare": "List what differs between two vehicles.",
    "practice": "List the rules in force, with their sources.",
    "profiles": "List the vehicles in the library.",
}
"""Every command in the order of its use; its function is that of the same name in the file of its name."""
COLLECT_AFTER = 200_000
"""After how many new objects garbage is looked for; looking after every 700 took 0.1 s of a plan."""
_SURROUNDINGS = {
    "PYDANTIC_DISABLE_PLUGINS": "__all__",  # looking for them slows every start
    "OPENBLAS_NUM_THREADS": "1",  # numpy starts a thread a processor, for matrices larger than any of a plan
}
"""What libraries ask for when they are imported, where whoever started this has not said otherwise."""
_CONTEXT = {"help_option_names": ["-h", "--help"], "max_content_width": 100}


def main(arguments: Sequence[str] | None = None) -> None:
    """Run one command and leave with its exit code; whatever happens, no traceback."""
    gc.set_threshold(COLLECT_AFTER)  # most of what a command makes it keeps to its end
    for name, value in _SURROUNDINGS.items():
        os.environ.setdefault(name, value)
    keep_streams()
    code = _run(arguments)
    if code == DONE and (why := words_lost()):
        click.echo(f"underbody: cannot write to stdout: {why}", err=True)
        code = UNREADABLE
    sys.exit(code)


def _run(arguments: Sequence[str] | None) -> int:
    try:
        arguments = sys.argv[1:] if arguments is None else arguments
        _refuse_odd(arguments)
        code = commands.main(arguments, prog_name="underbody", standalone_mode=False)
        sys.stdout.flush()
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except (Stopped, KeyboardInterrupt, Exception) as error:  # the last resort too: a line, never a traceback
        stop = stopped()
        words, code = (str(stop), stop.code) if stop else _refusal(error)
        click.echo(words, err=True)
    return code if isinstance(code, int) else DONE


def _refuse_odd(arguments: Sequence[str]) -> None:
    """Refuse characters that would break the lines in which what was typed is named again."""
    for each in map(str, arguments):
        if each != shown(each):
            words = "has a character that is no part of a line; write it without, or rename the file"
            raise Refusal(f'argument "{shown(each)}" {words}')


def _refusal(error: BaseException) -> tuple[str, int]:
    """Return what to say about an error, and the exit code."""
    match error:
        case UnreadableError():
            return str(error), UNREADABLE
        case NoAnswerError():
            return f"no answer: {error.why}", NO_ANSWER
        case click.Abort() | KeyboardInterrupt():
            return "underbody: stopped", INTERRUPTED
        case OSError() | MemoryError():
            return f"underbody: {one_line(str(error)) or 'there is not enough memory'}", UNREADABLE
    what = one_line(f"{type(error).__name__}: {error}")
    return f"underbody: this is a fault of the program, please report it: {what}", OWN_FAULT


class _Commands(click.Group):
    """Stand-ins with a line of help each; a command itself is imported when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in self.commands:
            return None
        command: click.Command = getattr(importlib.import_module(f"router.cli.{cmd_name}_command"), cmd_name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(
                [(name, stand_in.short_help or "") for name, stand_in in self.commands.items()]
            )


@click.group(
    cls=_Commands,
    commands={name: click.Command(name, short_help=help_line) for name, help_line in COMMANDS.items()},
    context_settings=_CONTEXT,
)
@click.version_option(__version__, prog_name="underbody")
def commands() -> None:
    """Plan how an accessory cable runs under a road vehicle.

    Out of a vehicle as measured (profile), what is to be installed (job) and the shop's rules
    (practice) come a map, a sheet for the installer, a bill and the plan as data.

    \b
    Start in the browser, without writing a file, or with a shipped example:
      underbody sketch my-van
      underbody plan examples/fridge-supply --out out
      underbody profiles

    The vehicle maker's instructions, local rules and a qualified person decide over every plan.
    """
