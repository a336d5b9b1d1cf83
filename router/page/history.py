"""Two texts and how they came about: every command makes the next texts, and can be taken back."""

from __future__ import annotations

from dataclasses import dataclass, field

from router.page.journal import Change, Command, JournalError, Kind, Opened, Texts


@dataclass(frozen=True, slots=True)
class Step:
    """What one undo takes back: the changes of one command, or of several with the same group in a row."""

    group: str | None
    changes: tuple[Change, ...]


@dataclass(slots=True)
class History:
    """The texts now, the revision that they have, and what can be taken back or done again."""

    texts: dict[str, str | None]
    revision: int = 0
    done: list[Step] = field(default_factory=list)
    undone: list[Step] = field(default_factory=list)
    open_group: str | None = None
    """The group of the last command, which the next one may go on with."""
    last: tuple[Change, ...] = ()
    """The changes of the last command."""

    def texts_after(self, changes: tuple[Change, ...]) -> dict[str, str | None]:
        """Return the texts as they would be after some changes."""
        texts = dict(self.texts)
        for change in changes:
            texts[change.file] = change.applied_to(texts[change.file])
        return texts

    def take(self, command: Command) -> None:
        """Go on by one command, which is the next."""
        if command.revision != self.revision + 1:
            raise JournalError(f"after {self.revision} comes {command.revision}")
        self.texts = self.texts_after(command.changes)
        self.revision = command.revision
        step = Step(command.group, command.changes)
        match command.kind:
            case Kind.UNDO:
                self.done = self.done[:-1]
                self.undone = [*self.undone, Step(command.group, inverse(command.changes))]
            case Kind.REDO:
                self.undone = self.undone[:-1]
                self.done = [*self.done, step]
            case _:
                if command.group is not None and command.group == self.open_group and self.done:
                    step = Step(command.group, (*self.done.pop().changes, *command.changes))
                self.done.append(step)
                self.undone = []
        self.last = command.changes
        self.open_group = command.group if command.kind is Kind.EDIT else None


def inverse(changes: tuple[Change, ...]) -> tuple[Change, ...]:
    """Return the changes that take others back, the last one first."""
    return tuple(each.inverse() for each in reversed(changes))


def replayed(opened: Opened) -> History:
    """Return the history that a journal tells; `JournalError` where it contradicts itself."""
    history = History(dict(opened.texts), opened.revision)
    for command in opened.commands:
        if command is None:
            history.open_group = None
        else:
            history.take(command)
    return history


def shortened(opened: Opened, most: int) -> tuple[int, Texts, tuple[Command, ...]]:
    """Return the revision, the texts and the commands of a journal that begins later."""
    commands = [each for each in opened.commands if each is not None]
    history = History(dict(opened.texts), opened.revision)
    for command in commands[: max(0, len(commands) - most)]:
        history.take(command)
    return history.revision, history.texts, tuple(commands[max(0, len(commands) - most) :])
