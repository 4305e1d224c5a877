"""Every command as a page of Markdown, made of the commands' own help."""

from __future__ import annotations

import click

from prepboard.texts import _


def told() -> str:
    """All commands of the program that is running, with what each is given and does."""
    context = click.get_current_context(silent=True)
    program = context.find_root().command if context else None
    lines = [
        f"# {_('Every command')}",
        "",
        _("Each has `--help`. `--file`, `--by`, `--station` and `--language` say which file, who, where and how."),
        "",
    ]
    if isinstance(program, click.Group):
        lines += _of_group(program, "prepboard", click.Context(program, info_name="prepboard"))
    return "\n".join(lines)


def _of_group(group: click.Group, called: str, context: click.Context) -> list[str]:
    lines: list[str] = []
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        if command is None:
            continue
        if isinstance(command, click.Group):
            lines += _of_group(command, f"{called} {name}", context)
            continue
        words = " ".join(command.collect_usage_pieces(context)).replace("[OPTIONS] ", "").replace("[OPTIONS]", "")
        lines += [f"**`{' '.join(f'{called} {name} {words}'.split())}`** {_sentence(command)}", ""]
        lines += [
            f"- {_option(option)}" for option in command.params if isinstance(option, click.Option) and _own(option)
        ]
        lines.append("")
    return lines


def _sentence(command: click.Command) -> str:
    return " ".join(f"{command.help or ''} {command.epilog or ''}".split())


def _own(option: click.Option) -> bool:
    return option.name not in ("file", "by", "station", "language", "help") and not option.hidden


def _option(option: click.Option) -> str:
    value = "" if option.is_flag else f" {option.metavar or option.type.name.upper()}"
    return f"`{'/'.join(option.opts)}{value}` {option.help or ''}"
