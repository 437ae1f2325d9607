"""The commands. Thin: each finds the journal and the moment, calls one room, and prints.

Imports are late, so that ``dabhand say`` starts fast and ``dabhand --help`` starts at once. This is
one of the few rooms that may read the clock.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime, tzinfo
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

from assistant.problem import Problem

if TYPE_CHECKING:
    from assistant.reply import Reply
    from assistant.turn import Session

HELP = """\
dabhand - talk to it, or type at it, while your hands are dirty

  dabhand                        the chat
  dabhand say "PHRASE"           one phrase, one reply   [--explain: how it was read]
  dabhand listen                 hands-free: microphone in, voice out   [--wav FILE] [--model DIR] [--device NAME]
  dabhand replay FILE            phrases from a file, each at its own time ("-" is standard input)
  dabhand load FILE.toml         spaces, pieces, labels, tins, tasks and hours from a job file
  dabhand diary [DAY]            the day's work   [--format text|md|html|json] [--week] [--piece NAME]
  dabhand plan                   the timeline and whether the deadline holds   [--plot FILE] [--ics FILE]
  dabhand labels                 the materials known
  dabhand label NAME             one in full, with where each figure comes from
  dabhand export FILE            the whole journal as JSON lines
  dabhand import FILE            and back
  dabhand temperatures FILE.csv  a logger's readings: time,temperature[,humidity][,space]
  dabhand doctor                 what works on this machine   [--fetch-model]

Before or after any command:
  --job FILE     the journal (default: DABHAND_JOB, else one in your data directory)
  --at TIME      take this as now (ISO 8601; without an offset it is local time)
  --json         machine-readable output
  --version, --help

It never replaces the label on the tin, a local code or licensed practice.
"""

#: Options that take a value, by the commands that know them; the global ones under "".
_VALUED: dict[str, tuple[str, ...]] = {
    "": ("--job", "--at"),
    "listen": ("--wav", "--model", "--device", "--speaker", "--wake"),
    "diary": ("--format", "--piece"),
    "plan": ("--plot", "--ics", "--limit"),
}
_FLAGS: dict[str, tuple[str, ...]] = {
    "": ("--json",),
    "say": ("--explain",),
    "diary": ("--week",),
    "doctor": ("--fetch-model", "--yes"),
    "listen": ("--push-to-talk", "--no-wake", "--quiet"),
}


@dataclass
class Call:
    """A command line, taken apart."""

    command: str = ""
    words: list[str] = field(default_factory=list)
    options: dict[str, str] = field(default_factory=dict)
    flags: set[str] = field(default_factory=set)

    @property
    def json(self) -> bool:
        """Whether machine-readable output was asked for."""
        return "--json" in self.flags


def parse(argv: list[str]) -> Call:
    """Take the command line apart. Options may stand anywhere; ``Problem`` for one that nobody knows."""
    call = Call()
    plain = False
    rest = list(argv)
    while rest:
        word = rest.pop(0)
        if word == "--" and not plain:
            plain = True
        elif word.startswith("--") and not plain:
            name, eq, value = word.partition("=")
            if name in _known(_VALUED, call.command) or name in _any(_VALUED, rest):
                if not eq:
                    if not rest:
                        raise Problem(f"{name} needs a value after it")
                    value = rest.pop(0)
                call.options[name] = value
            elif not eq and (name in _known(_FLAGS, call.command) or name in _any(_FLAGS, rest)):
                call.flags.add(name)
            else:
                raise Problem(f"there is no option {name}: see dabhand --help")
        elif not call.command:
            call.command = word
        else:
            call.words.append(word)
    wrong = [
        n
        for n in (*call.options, *call.flags)
        if n not in {*_known(_VALUED, call.command), *_known(_FLAGS, call.command)}
    ]
    if wrong:
        raise Problem(
            f"dabhand {call.command} knows no {wrong[0]}: see dabhand --help".replace("dabhand  ", "the chat ")
        )
    return call


def _known(table: dict[str, tuple[str, ...]], command: str) -> tuple[str, ...]:
    return (*table[""], *table.get(command, ()))


def _any(table: dict[str, tuple[str, ...]], rest: list[str]) -> tuple[str, ...]:
    # an option of the command may come before its name
    return tuple(n for command in table if command in rest for n in table[command])


def local_zone() -> tzinfo:
    """Give this machine's time zone."""
    from tzlocal import get_localzone

    return get_localzone()


def _fast_zone() -> tzinfo | None:
    # tzlocal takes 60 ms; on Unix the link it would follow is read here
    from zoneinfo import ZoneInfo

    name = os.environ.get("TZ", "").lstrip(":")
    try:
        if name:
            return ZoneInfo(name)
        link = str(Path("/etc/localtime").readlink())
        return ZoneInfo(link.partition("zoneinfo/")[2])
    except (OSError, ValueError, KeyError):
        return None


def moment(text: str | None, zone: tzinfo | None) -> datetime:
    """Give now: ``text`` (ISO 8601) if there is one, else the clock's."""
    where = zone or _fast_zone() or local_zone()
    if text is None:
        return datetime.now(where)
    try:
        time = datetime.fromisoformat(text)
    except ValueError:
        raise Problem(f'"{text}" is no time: write it like 2026-03-14T02:05') from None
    if not 1970 <= time.year < 2200:
        raise Problem(f'"{text}" is no time for a job: write it like 2026-03-14T02:05')
    return time.replace(tzinfo=where) if time.tzinfo is None else time.astimezone(zone or time.tzinfo)


def journal_path(call: Call) -> Path:
    """Give the journal's file: ``--job``, else ``DABHAND_JOB``, else one in the user's data directory."""
    if call.options.get("--job") == "":
        raise Problem("--job needs the name of a file")
    named = call.options.get("--job") or os.environ.get("DABHAND_JOB")
    if named:
        return Path(named).expanduser()
    from platformdirs import user_data_path

    return user_data_path("dabhand", appauthor=False) / "job.sqlite"


def open_session(call: Call) -> Session:
    """Open the job's journal."""
    from assistant.turn import Session

    path = journal_path(call)
    if not (call.options.get("--job") or os.environ.get("DABHAND_JOB")):
        path.parent.mkdir(parents=True, exist_ok=True)
    return Session.open(path)


def show(reply: Reply, *, as_json: bool, out: TextIO | None = None) -> None:
    """Print one reply."""
    out = out or sys.stdout
    if as_json:
        print(json.dumps(reply.to_json(), ensure_ascii=False), file=out, flush=True)
        return
    print(_folded(reply.reply, out), file=out)
    for caution in reply.cautions:
        print(_folded(f"  ! {caution}", out, "    "), file=out)
    out.flush()


def _folded(text: str, out: TextIO, indent: str = "") -> str:
    """Break lines between words where a terminal would break them anywhere; what is piped stays as it is."""
    if not out.isatty():
        return text
    import shutil
    import textwrap

    width = max(20, shutil.get_terminal_size().columns - 1)
    lines = text.split("\n")
    return "\n".join(
        textwrap.fill(line, width, subsequent_indent=indent, drop_whitespace=True, replace_whitespace=False)
        for line in lines
    )


def say(call: Call) -> int:
    """One phrase, one reply."""
    if not call.words:
        raise Problem('say what? For example: dabhand say "second coat on the hatch trim at 2am"')
    phrase = " ".join(call.words)
    with open_session(call) as session:
        now = moment(call.options.get("--at"), session.zone)
        if "--explain" in call.flags:
            print("\n".join(session.explain(phrase)))
            return 0
        reply = session.take(phrase, now)
    show(reply, as_json=call.json)
    return reply.status


def replay(call: Call) -> int:
    """Phrases from a file, each at its own time."""
    source = _one(call, "replay", "a file of phrases")
    with open_session(call) as session:
        for at, phrase in list(script(source, session.zone)):
            reply = session.take(phrase, at)
            if not call.json:
                print(f"{at:%a %H:%M}  {phrase}")
                print("           " + reply.reply.replace("\n", "\n           "))
                for caution in reply.cautions:
                    print(f"           ! {caution}")
            else:
                show(reply, as_json=True)
    return 0


def script(source: str, zone: tzinfo | None) -> Iterator[tuple[datetime, str]]:
    """Read ``2026-03-14 02:05  phrase`` lines; ``Problem`` names a line that has no time."""
    if source == "-":
        lines = sys.stdin.read().splitlines()
    else:
        try:
            lines = Path(source).read_text(encoding="utf-8-sig").splitlines()
        except (OSError, UnicodeDecodeError) as error:
            raise Problem(f"{source} can't be read: {_reason(error)}") from None
    for number, line in enumerate(lines, 1):
        text = line.strip()
        if not text or text.startswith("#"):
            continue
        stamp, phrase = _stamped(text)
        if stamp is None:
            raise Problem(
                f"{source} line {number} has no time: write it like 2026-03-14 02:05  second coat on the hatch trim"
            )
        yield moment(stamp, zone), phrase


def _stamped(text: str) -> tuple[str | None, str]:
    words = text.split(None, 2)
    for count in (2, 1):
        stamp = "T".join(words[:count])
        try:
            datetime.fromisoformat(stamp)
        except ValueError:
            continue
        if len(stamp) > 10:
            rest = text.split(None, count)
            return stamp, rest[count] if len(rest) > count else ""
    return None, text


def _one(call: Call, command: str, what: str) -> str:
    if len(call.words) != 1:
        raise Problem(f"dabhand {command} takes {what}")
    return call.words[0]


def _reason(error: Exception) -> str:
    if isinstance(error, UnicodeDecodeError):
        return "it is not a text file"
    return (getattr(error, "strerror", None) or str(error)).lower()


def load(call: Call) -> int:
    """Take a job file into the journal."""
    path = Path(_one(call, "load", "one job file"))
    with open_session(call) as session:
        now = moment(call.options.get("--at"), session.zone)
        events = session.load(path, now)
        state = session.state
    if call.json:
        from assistant.journal.events import to_json

        print(json.dumps({"loaded": len(events), "events": [to_json(e) for e in events]}, ensure_ascii=False))
    elif events:
        print(f"Loaded {state.job.get('name') or path.stem}: {len(state.spaces)} spaces, {len(state.pieces)} pieces, "
              f"{len(state.labels)} labels, {len(state.tins)} tins, {len(state.plans)} tasks.")  # fmt: skip
    else:
        print("Nothing new in it.")
    return 0


def labels(call: Call) -> int:
    """List the materials known: the job's labels, then the families."""
    with open_session(call) as session:
        library, state = session.library, session.state
        mine = [(name, library.card(name)) for name in state.labels]
        heads = list(library.families().values())
    if call.json:
        print(json.dumps({
            "labels": [{"name": n, "family": c.family, "kind": c.kind} for n, c in mine],
            "families": [{"id": h.id, "kind": h.kind, "title": h.title, "also": list(h.also)} for h in heads],
        }, ensure_ascii=False))  # fmt: skip
        return 0
    if mine:
        print("This job's labels")
        for name, card in mine:
            print(f"  {name:24} {card.title}")
        print()
    print("Families (where no label says otherwise)")
    for head in heads:
        print(f"  {head.id:24} {head.title}")
    return 0


def label(call: Call) -> int:
    """One material in full."""
    from assistant.library.page import lines, to_json

    if not call.words:
        raise Problem("which label? See dabhand labels")
    with open_session(call) as session:
        card = session.library.card(" ".join(call.words))
    print(json.dumps(to_json(card), ensure_ascii=False) if call.json else "\n".join(lines(card)))
    return 0


def export(call: Call) -> int:
    """Write the whole journal as JSON lines."""
    from assistant.journal.transfer import export_to

    target = _one(call, "export", "a file to write, or -")
    with open_session(call) as session:
        count = export_to(session.journal, target if target == "-" else Path(target))
    if target != "-":
        print(json.dumps({"exported": count}) if call.json else f"{count} events in {target}.")
    return 0


def import_(call: Call) -> int:
    """Read a journal back from JSON lines."""
    from assistant.journal.transfer import import_from

    source = _one(call, "import", "a file that dabhand export wrote")
    with open_session(call) as session:
        count = import_from(session.journal, source if source == "-" else Path(source))
    print(json.dumps({"imported": count}) if call.json else f"{count} events taken in.")
    return 0


def temperatures(call: Call) -> int:
    """Take in a logger's readings."""
    from assistant.journal.readings import read_csv

    path = Path(_one(call, "temperatures", "a CSV file"))
    with open_session(call) as session:
        now = moment(call.options.get("--at"), session.zone)
        zone = session.zone or now.tzinfo
        assert zone is not None
        found = read_csv(path, zone, spaces=session.state.spaces, now=now, already=session.journal.between)
        if found:
            session.journal.append(found)
    print(
        json.dumps({"readings": len(found)})
        if call.json
        else f"{len(found)} readings taken in."
        if found
        else "Nothing new in it."
    )
    return 0


def chat(call: Call) -> int:
    """Hold the chat; with standard input from a file or pipe, one phrase a line."""
    if call.words:
        raise Problem(f'there is no command "{call.words[0]}"')
    from assistant.chat import run

    return run(call)


def doctor(call: Call) -> int:
    """Say what works on this machine."""
    from assistant.show.doctor import run

    return run(call)


def listen(call: Call) -> int:
    """Hands-free."""
    from assistant.show.hands_free import run

    return run(call)


def diary(call: Call) -> int:
    """Print the day's work."""
    from assistant.show.day import run

    return run(call)


def plan(call: Call) -> int:
    """Print the timeline and whether the deadline holds."""
    from assistant.show.week import run

    return run(call)


COMMANDS: dict[str, Callable[[Call], int]] = {
    "": chat, "say": say, "listen": listen, "replay": replay, "load": load, "diary": diary, "plan": plan,
    "labels": labels, "label": label, "export": export, "import": import_, "temperatures": temperatures,
    "doctor": doctor,
}  # fmt: skip


#: Commands that take options alone: a word after them was meant for something else.
_WORDLESS = frozenset(["plan", "labels", "doctor"])


def main(argv: list[str] | None = None) -> int:
    """Run one command line and give its exit status."""
    words = sys.argv[1:] if argv is None else argv
    if sys.stdout is None:  # started with its output closed
        sys.stdout = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115 - for as long as the process lives
    for stream in (sys.stdout, sys.stderr):  # a terminal that cannot show a letter shows another
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    call = Call()
    try:
        if any(w in ("--help", "-h") for w in words[:2]) or words[:1] == ["help"]:
            print(HELP, end="")
            return 0
        if "--version" in words[:1]:
            from assistant import __version__

            print(f"dabhand {__version__}")
            return 0
        call = parse(words)
        command = COMMANDS.get(call.command)
        if command is None:
            raise Problem(
                f'there is no command "{call.command}": see dabhand --help. To say something: dabhand say "..."'
            )
        if call.words and call.command in _WORDLESS:
            raise Problem(f'dabhand {call.command} takes no "{" ".join(call.words)}": see dabhand --help')
        return command(call)
    except Problem as problem:
        return fail(str(problem), problem.code)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return 130
    except OSError as error:
        return fail(f"{error.filename or 'this'}: {_reason(error)}", 2)


def fail(text: str, code: int) -> int:
    """Print one line of error."""
    line: Any = " ".join(text.split())
    print(f"dabhand: {line}", file=sys.stderr)
    return code


if __name__ == "__main__":
    sys.exit(main())
