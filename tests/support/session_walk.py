"""A session that is edited as fast as it goes, to be killed: `python session_walk.py FOLDER SEED`.

Prints a line when it begins and after each command: the revision, and a mark of what the files hold.
"""

from __future__ import annotations

import hashlib
import json
import sys
from pathlib import Path
from random import Random

from page_stand_in import ROOT, set_to


def some_edits(rng, number):
    """Edits as a page makes them: a name, a point, a part more, a part less, a job, the whole text."""
    kind = rng.randrange(6)
    if kind == 0:
        return [set_to(["keep-outs", rng.randrange(5), "name"], f"part {number} <b> 😀")]
    if kind == 1:
        return [set_to(["spaces", "underfloor", "outline", 0, n], rng.randrange(-900, 900)) for n in (0, 1)]
    if kind == 2:
        part = {"name": f"new {number}", "hazard": "hot", "area": [[0, 0], [9, 0], [9, 9]]}
        return [{"file": "profile", "op": "add", "path": ["keep-outs"], "value": part}]
    if kind == 3:
        return [{"file": "profile", "op": "remove", "path": ["keep-outs", rng.randrange(4)]}]
    if kind == 4:
        return [set_to(["limits", "drop"], f"{number} %", "job")]
    return [{"file": "job", "op": "text", "value": f"job: number {number}\n"}]


def some_command(session, rng, number):
    """Do something at random."""
    if rng.random() < 0.2:
        session.undo(session.revision)
    else:
        session.edit(session.revision, rng.choice((None, "a")), some_edits(rng, number))


def mark_of(texts):
    """A short word that is another one for other texts."""
    return hashlib.sha256(json.dumps([texts["profile"], texts["job"]]).encode()).hexdigest()


def main(folder, seed):
    """Edit until a kill."""
    from router.page.session import Session

    rng = Random(int(seed))
    session = Session(Path(folder))
    number = 0
    while True:
        print(session.revision, mark_of(session.texts), flush=True)
        some_command(session, rng, number)
        number += 1


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    main(*sys.argv[1:])
