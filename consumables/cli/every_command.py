"""What holds for every command: who and where may be said anywhere, every problem is a sentence."""

import os
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, TypeVar

import click

from consumables.errors import DeskProblem

if TYPE_CHECKING:
    from consumables.desk.opening import Desk

SHOP, WHO = "consumables.shop", "consumables.who"
INTERRUPTED = 130
F = TypeVar("F", bound=Callable[..., Any])


def _kept(name: str) -> Callable[[click.Context, click.Parameter, str | None], None]:
    def keep(context: click.Context, _parameter: click.Parameter, value: str | None) -> None:
        if value is not None:
            context.meta[name] = value

    return keep


def _said_anywhere(outermost: bool) -> list[click.Parameter]:
    # Only the outermost reads the environment: what is typed after a command must win over it.
    return [
        click.Option(
            ["--shop"],
            metavar="PATH_OR_URL",
            envvar="CONSUMABLES_SHOP" if outermost else None,
            expose_value=False,
            callback=_kept(SHOP),
            help="The shop file (else CONSUMABLES_SHOP, else the one in your data folder).",
        ),
        click.Option(
            ["--who"],
            metavar="INITIALS",
            envvar="CONSUMABLES_WHO" if outermost else None,
            expose_value=False,
            callback=_kept(WHO),
            help="Who is at the desk (else CONSUMABLES_WHO); signs every line of the record.",
        ),
    ]


class _Explained(click.Command):
    """Help with examples, and the two options that may stand before or after a command."""

    outermost = False

    def __init__(self, *args: Any, example: str, **kwargs: Any) -> None:
        kwargs.setdefault("context_settings", {"help_option_names": ["-h", "--help"]})
        super().__init__(*args, **kwargs)
        self.example = example
        self.params = [*self.params, *_said_anywhere(self.outermost)]

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Examples stand last, as they would be typed."""
        with formatter.section("Examples" if "\n" in self.example else "Example"):
            for line in self.example.splitlines():
                formatter.write(f"  {line}\n")


class DeskCommand(_Explained):
    """One job at the desk."""


class DeskGroup(_Explained, click.Group):
    """A job with smaller jobs under it; without one of them it only shows."""

    command_class = DeskCommand

    def by_heading(self) -> Mapping[str, Iterable[str]]:
        """Heading -> names of commands, as help lists them."""
        return {"Steps": self.commands}

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Commands with the whole first sentence of each."""
        for heading, names in self.by_heading().items():
            found = [(name, self.get_command(ctx, name)) for name in names]
            with formatter.section(heading):
                formatter.write_dl([(name, _first_sentence(one)) for name, one in found if one])


class OutermostGroup(DeskGroup):
    """The command itself: whatever goes wrong below ends here, in a sentence and an exit code."""

    outermost = True

    def __init__(self, *args: Any, places: Mapping[str, Mapping[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.places = places  # heading -> command -> the module beside this one that holds it

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Every command, in the sequence of the working day."""
        return [name for commands in self.places.values() for name in commands]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """One command, its module read only now."""
        from importlib import import_module

        for commands in self.places.values():
            if cmd_name in commands:
                shelf = import_module(f"consumables.cli.{commands[cmd_name]}")
                found: click.Command = next(c for c in shelf.COMMANDS if c.name == cmd_name)
                return found
        return None

    def by_heading(self) -> Mapping[str, Iterable[str]]:
        """Commands under the part of the day they belong to."""
        return self.places

    def main(self, *args: Any, standalone_mode: bool = True, **kwargs: Any) -> Any:
        """Run, and leave with one of the documented exit codes; no traceback ever gets out."""
        run: Callable[..., Any] = super().main
        if not standalone_mode:
            return run(*args, standalone_mode=False, **kwargs)
        sys.exit(_ended(lambda: run(*args, standalone_mode=False, **kwargs)))

    def make_context(self, *args: Any, **kwargs: Any) -> click.Context:
        """Read what was typed; `--help` and `--version` answer here already."""
        with _a_reader_may_leave():
            return super().make_context(*args, **kwargs)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command."""
        with _a_reader_may_leave():
            result = super().invoke(ctx)
            sys.stdout.flush()
        return result


@contextmanager
def _a_reader_may_leave() -> Iterator[None]:
    """End quietly when whoever reads the pipe has had enough."""
    try:
        yield
    except BrokenPipeError:
        # What is still buffered must not complain when the interpreter ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise click.exceptions.Exit(0) from None


def _ended(run: Callable[[], Any]) -> int:
    try:
        outcome = run()
    except DeskProblem as problem:
        click.echo(str(problem), err=True)
        return problem.exit_code
    except click.ClickException as misuse:
        misuse.show()
        return misuse.exit_code
    except (KeyboardInterrupt, click.Abort):
        click.echo("Interrupted; what was not finished was not written.", err=True)
        return INTERRUPTED
    except Exception as mishap:
        from consumables.cli.mishaps import note_down

        click.echo(note_down(mishap), err=True)
        return 1
    return outcome if isinstance(outcome, int) else 0


def _first_sentence(command: click.Command) -> str:
    paragraph = (command.help or "").split("\n\n")[0]
    return " ".join(paragraph.split()).removesuffix(".")


@contextmanager
def at_desk(must_exist: bool = True) -> Iterator["Desk"]:
    """The shop that `--shop` names, with whoever `--who` names at its desk.

    The outermost context's `obj` is the clock, where somebody brings one of their own.
    """
    from consumables.desk.opening import open_desk, refuse_unknown_initials, utc_now

    context = click.get_current_context()
    clock = context.find_root().obj or utc_now
    shop, who = context.meta.get(SHOP), context.meta.get(WHO, "")
    with open_desk(shop, who, clock, must_exist=must_exist) as desk:
        refuse_unknown_initials(desk)
        yield desk


@contextmanager
def signing_desk() -> Iterator["Desk"]:
    """As `at_desk`, for a job that writes: says so when nobody has signed."""
    with at_desk() as desk:
        if not desk.who:
            click.echo(
                "Nobody signed this (--who INITIALS); the record will show no name.", err=True
            )
        yield desk


def json_option(command: F) -> F:
    """`--json`: the same answer for a machine."""
    return click.option("--json", "as_json", is_flag=True, help="The same as one JSON object.")(
        command
    )
