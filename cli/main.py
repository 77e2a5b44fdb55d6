"""The commands and the one error handler. Heavy modules are imported where they are used."""

from __future__ import annotations

import sys
import tempfile
import traceback
from collections.abc import Iterable

import typer
from soapstone.cli import interrupt
from soapstone.cli.commands.build import build, demo
from soapstone.cli.commands.check import check
from soapstone.cli.commands.correct import correct
from soapstone.cli.commands.cycle import cycle
from soapstone.cli.commands.entering import enter, sign
from soapstone.cli.commands.explain import explain, suppose
from soapstone.cli.commands.issuing import compare, export, import_, reissue
from soapstone.cli.commands.nest import nest
from soapstone.cli.commands.new import new, survey
from soapstone.cli.commands.rack import rack
from soapstone.cli.commands.readings import readings
from soapstone.cli.commands.release import release
from soapstone.cli.commands.revisions import revisions, search, trace, verify
from soapstone.cli.commands.solve import solve
from soapstone.layout.faults import Exit, Fault, SoapstoneError

app = typer.Typer(
    rich_markup_mode=None,
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    help="Tape readings in; layout, plates, cut files, solids and drawings out. Calculations, not an approval.",
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
    except Exception as e:  # noqa: BLE001
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
