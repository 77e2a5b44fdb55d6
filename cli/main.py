"""The commands found, and the one error handler.

A command is a file in ``cli/commands`` named as it is typed, with a function of that name and
``PLACE``, its place in ``--help`` (lowest first). Heavy modules are imported where they are used.
"""

from __future__ import annotations

import errno
import importlib
import pkgutil
import re
import sys
import tempfile
import traceback
from collections.abc import Callable, Iterable, Iterator
from typing import Annotated, NamedTuple, Protocol

import typer

from ..layout.faults import Exit, Fault, SoapstoneError
from . import commands, console, disk, interrupt


class Command(NamedTuple):
    """One command: its place in ``--help``, the word that is typed, and what it does."""

    place: int
    word: str
    act: Callable[..., None]


def found() -> Iterator[Command]:
    """Every command there is. AttributeError for a file without its function or its place."""
    for module in pkgutil.iter_modules(commands.__path__):
        file = importlib.import_module(f"{commands.__name__}.{module.name}")
        yield Command(file.PLACE, module.name.rstrip("_"), getattr(file, module.name))


app = typer.Typer(
    rich_markup_mode=None,
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    help=(
        "Tape readings in; layout, plates, cut files, solids and drawings out. Calculations, not an"
        " approval."
    ),
)
for _command in sorted(found()):
    app.command(_command.word)(_command.act)


def _version(asked: bool) -> None:
    if asked:
        from .building.manifest import VERSION

        print(f"soapstone {VERSION}")
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_version, is_eager=True, help="print the version"),
    ] = False,
) -> None:
    pass


def run() -> None:
    """Entry point and the one error handler."""
    console.ready()
    interrupt.watch()
    try:
        code = app(standalone_mode=False) or 0
        if code == Exit.INTERRUPTED:
            raise KeyboardInterrupt
    except SoapstoneError as e:
        code = _faults(e.code, e.title, e.faults)
    except (KeyboardInterrupt, typer.Abort):
        code = _stopped()
    except BrokenPipeError:
        sys.stderr.close()
        code = Exit.DONE
    except OSError as e:
        code = _faults(Exit.DISK, "", [of_the_disk(e)])
    except Exception as e:
        code = _other(e)
    sys.exit(int(code))


def _other(e: Exception) -> Exit:
    """What is neither a fault nor the disk: a Ctrl-C some library renamed, words nobody
    understands, or a bug of ours, whose details go to a file.
    """
    if interrupt.pressed():
        return _stopped()
    if hasattr(e, "format_message"):
        return _not_understood(e)
    with tempfile.NamedTemporaryFile(
        "w", prefix="soapstone-", suffix=".txt", delete=False, encoding="utf-8"
    ) as file:
        traceback.print_exc(file=file)
    print(
        f"this is a bug of soapstone, not of your job; the details are in {file.name}",
        file=sys.stderr,
    )
    return Exit.BUG


class Misread(Protocol):
    """An error of the command line's reader that can say itself."""

    def format_message(self) -> str:
        """What was not understood, in a sentence."""


def _not_understood(e: Misread) -> Exit:
    """Words of the command line nobody understands: what is wrong, and how it is typed."""
    message = e.format_message()
    print(message, file=sys.stderr)
    context = getattr(e, "ctx", None)
    if context is not None and not message.startswith("Usage:"):
        print(context.get_usage(), file=sys.stderr)
        print(f"{context.command_path} --help says more", file=sys.stderr)
    return Exit.COMMAND_LINE


def _stopped() -> Exit:
    print(f"stopped; {interrupt.left()}", file=sys.stderr)
    return Exit.INTERRUPTED


def of_the_disk(e: OSError) -> Fault:
    """What the system says of a file, under the name it was to have in the end."""
    name = BEING_FILLED.split(UNFINISHED.sub(r"\1", str(e.filename or "disk")))[0]
    if e.errno == errno.ENAMETOOLONG:
        remedy = "this computer takes no path as long as our files need: choose a shorter --out"
        return Fault(f"{name}: {(e.strerror or str(e)).lower()}", "", "a shorter path", remedy)
    if e.errno == errno.EISDIR:
        remedy = "move that folder away or choose another name; nothing was changed"
        return Fault(f"{name}: {(e.strerror or str(e)).lower()}", "", "a file", remedy)
    if getattr(e, "winerror", None) in disk.HELD:
        remedy = "a program has a file of it open: close it and do it again; nothing was changed"
        return Fault(f"{name}: {(e.strerror or str(e)).lower()}", "", "a free file", remedy)
    return Fault(
        f"{name}: {(e.strerror or str(e)).lower()}",
        "",
        "a folder that can be written, with room",
        "free some room or choose another folder with --out; nothing was changed",
    )


BEING_FILLED = re.compile(r"[/\\]\.new(?:-\d+)?(?=[/\\]|$)")
"""A folder until it is whole, see ``disk.swap_in``, on any system."""
UNFINISHED = re.compile(r"\.([^/\\]+)\.\d+\.part$")
"""Name of a file until it is whole, see ``disk.put_file``."""


def _faults(code: Exit, title: str, faults: Iterable[Fault]) -> Exit:
    if title:
        print(title, file=sys.stderr)
    for fault in faults:
        print(fault, file=sys.stderr)
    return code


if __name__ == "__main__":
    run()
