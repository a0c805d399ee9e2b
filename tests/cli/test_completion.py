"""Completion scripts name the commands."""

from __future__ import annotations

import pytest

from diagnose.cli.main import main


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_commands_and_options_are_completed(shell: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["completion", shell]) == 0
    script = capsys.readouterr().out
    assert "counter" in script and "assess" in script and "json-lines" in script
    assert "http" not in script and "@" not in script.replace("$@", "").replace("[@]", "")
