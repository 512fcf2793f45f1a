"""The commands that ask for bids and gather them: what they write, what they say, and their exit status."""

from pathlib import Path

from asked import answers_of, form_of, move_of, returned
from typer.testing import CliRunner

from shipopt import cli

RUN = CliRunner()


def test_ask_writes_forms_and_a_note(tmp_path: Path) -> None:
    done = RUN.invoke(cli.app, ["ask", str(move_of(tmp_path)), "-o", str(tmp_path / "out")])
    assert done.exit_code == 0
    assert len(list((tmp_path / "out").iterdir())) == 4
    assert "bid_form_van.xlsx" in done.output


def test_gather_tells_what_it_did(tmp_path: Path) -> None:
    move, new = move_of(tmp_path), tmp_path / "new.xlsx"
    back = returned(form_of(tmp_path, move=move), answers_of())
    done = RUN.invoke(cli.app, ["gather", str(move), str(back), "-o", str(new)])
    assert done.exit_code == 0
    assert "added in row 2 of Quotes" in done.output
    assert new.exists()


def test_gather_refuses_a_wrong_form_and_writes_nothing(tmp_path: Path) -> None:
    move, new = move_of(tmp_path), tmp_path / "new.xlsx"
    back = returned(form_of(tmp_path, move=move), answers_of(fixed_charge="forty"))
    done = RUN.invoke(cli.app, ["gather", str(move), str(back), "-o", str(new)])
    assert done.exit_code == cli.WORKBOOK_ERRORS
    assert "forty" in done.output
    assert not new.exists()


def test_neither_the_workbook_nor_a_form_is_written_over(tmp_path: Path) -> None:
    move = move_of(tmp_path)
    back = returned(form_of(tmp_path, move=move), answers_of())
    for target in (move, back):
        before = target.read_bytes()
        assert RUN.invoke(cli.app, ["gather", str(move), str(back), "-o", str(target)]).exit_code == 2
        assert target.read_bytes() == before
