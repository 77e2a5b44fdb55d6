"""The commands and the one error handler. Heavy modules are imported where they are used."""

from __future__ import annotations

import sys
import tempfile
import traceback
from collections.abc import Iterable

import typer

from ..layout.faults import Exit, Fault, SoapstoneError
from . import interrupt
from .commands.build import build, demo
from .commands.check import check
from .commands.correct import correct
from .commands.cycle import cycle
from .commands.entering import enter, sign
from .commands.explain import explain, suppose
from .commands.issuing import compare, export, import_, reissue
from .commands.nest import nest
from .commands.new import new, survey
from .commands.rack import rack
from .commands.readings import readings
from .commands.release import release
from .commands.revisions import revisions, search, trace, verify
from .commands.solve import solve

app = typer.Typer(
    rich_markup_mode=None,
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    help=(
        "Tape readings in; layout, plates, cut files, solids and drawings out. Calculations, not an"
        " approval."
    ),
)
for command in (
    new,
    survey,
    readings,
    solve,
    cycle,
    explain,
    suppose,
    check,
    build,
    demo,
    nest,
    correct,
    release,
    sign,
    enter,
    revisions,
    search,
    trace,
    compare,
    reissue,
    verify,
    export,
    rack,
):
    app.command()(command)
app.command("import")(import_)


def run() -> None:
    """Entry point and the one error handler."""
    interrupt.watch()
    try:
        code = app(standalone_mode=False) or 0
        if code == Exit.INTERRUPTED:
            raise KeyboardInterrupt
    except SoapstoneError as e:
        code = _faults(e.code, e.title, e.faults)
    except (KeyboardInterrupt, typer.Abort):
        print("stopped; nothing was changed", file=sys.stderr)
        code = Exit.INTERRUPTED
    except BrokenPipeError:
        sys.stderr.close()
        code = Exit.DONE
    except OSError as e:
        code = _faults(
            Exit.DISK,
            "",
            [
                Fault(
                    str(e.filename or "disk"),
                    e.strerror or str(e),
                    "a folder that can be written, with room",
                    "free some room or choose another folder with --out; nothing was changed",
                )
            ],
        )
    except Exception as e:
        if interrupt.pressed():
            print("stopped; nothing was changed", file=sys.stderr)
            sys.exit(Exit.INTERRUPTED)
        if hasattr(e, "format_message"):
            print(e.format_message(), file=sys.stderr)
            sys.exit(Exit.COMMAND_LINE)
        with tempfile.NamedTemporaryFile(
            "w", prefix="soapstone-", suffix=".txt", delete=False
        ) as f:
            traceback.print_exc(file=f)
        print(
            f"this is a bug of soapstone, not of your job; the details are in {f.name}",
            file=sys.stderr,
        )
        code = Exit.BUG
    sys.exit(int(code))


def _faults(code: Exit, title: str, faults: Iterable[Fault]) -> Exit:
    if title:
        print(title, file=sys.stderr)
    for f in faults:
        print(f, file=sys.stderr)
    return code
