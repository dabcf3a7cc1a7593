"""The command that imports a list."""

import json
import subprocess
import sys

import pytest
from django.core.management import CommandError, call_command

from inventory.models import Part
from tests.factories import ClubFactory, keeper_of, member_of
from tests.inventory.imports.lists import PART_COUNT, semicolon_list

pytestmark = pytest.mark.django_db


@pytest.fixture
def listed(tmp_path):
    def write(data, name="parts.csv"):
        file = tmp_path / name
        file.write_bytes(data)
        return str(file)

    return write


def run(capsys, *arguments):
    call_command("import_parts", *arguments)
    return capsys.readouterr().out


def test_a_list_is_imported_for_a_person(user, listed, capsys):
    out = run(capsys, listed(semicolon_list()), "--owner", user.username)
    assert f"parts: {PART_COUNT}" in out
    assert Part.objects.filter(person=user).count() == PART_COUNT


def test_a_dry_run_shows_the_columns_and_stores_nothing(user, listed, capsys):
    out = run(capsys, listed(semicolon_list()), "--owner", user.username, "--dry-run")
    assert "Gewicht (g) = mass_g in g" in out
    assert not Part.objects.exists()


def test_what_is_matched_by_hand_goes_before_what_is_suggested(user, listed, capsys):
    file = listed(b"what,name,label text,weight\nGizmo,x,S9,1\n")
    run(
        capsys, file, "--owner", user.username, "--match", "label text=name", "--match",
        "what=kind", "--unit", "weight=oz", "--word", "Gizmo=servo",
    )  # fmt: skip
    part = Part.objects.select_related("sheet").get(person=user)
    assert (part.kind, part.sheet.name) == ("servo", "S9")
    assert part.mass_g == pytest.approx(28.349523125)


def test_a_column_can_be_left_out(user, listed, capsys):
    file = listed(b"kind,name,weight\nservo,S9,heavy\n")
    run(capsys, file, "--owner", user.username, "--match", "weight=")
    assert Part.objects.get(person=user).mass_g is None


def test_json_can_be_read_by_a_script(user, listed, capsys):
    file = listed(semicolon_list())
    preview = json.loads(run(capsys, file, "--owner", user.username, "--dry-run", "--json"))
    assert preview["counts"]["parts"] == PART_COUNT
    done = json.loads(run(capsys, file, "--owner", user.username, "--json"))
    assert done["counts"] == preview["counts"]


def test_a_club_s_list_is_imported_by_a_keeper(listed, capsys):
    club = ClubFactory()
    keeper = keeper_of(club)
    run(capsys, listed(semicolon_list()), "--club", club.slug, "--by", keeper.username)
    assert Part.objects.filter(club=club).count() == PART_COUNT


def test_a_member_does_not_import_for_the_club(listed):
    club = ClubFactory()
    member = member_of(club).username
    with pytest.raises(CommandError, match="keeper"):
        call_command("import_parts", listed(semicolon_list()), "--club", club.slug, "--by", member)


def test_wrong_rows_are_named_and_nothing_is_imported(user, listed):
    file = listed(b"kind,name,weight\nservo,S9,heavy\nboat,B,1\n")
    with pytest.raises(CommandError, match="Row 2, column “weight”(.|\n)*Row 3, column “kind”"):
        call_command("import_parts", file, "--owner", user.username)
    assert not Part.objects.exists()


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--owner", "nobody-here"], "no user"),
        (["--club", "nowhere", "--by", "x"], "no club"),
        (["--owner", "{user}", "--match", "weight"], "not understood"),
        (["--owner", "{user}", "--match", "colour=name"], "no such column"),
        (["--owner", "{user}", "--kind", "boat"], "no kind boat"),
        (["--owner", "{user}", "--by", "x"], "goes with --club"),
    ],
)
def test_what_is_wrong_with_the_options_is_told(user, listed, options, words):
    file = listed(b"kind,name,weight\nservo,S9,9\n")
    filled = [option.format(user=user.username) for option in options]
    with pytest.raises(CommandError, match=words):
        call_command("import_parts", file, *filled)


def test_a_file_that_is_not_there_is_told(user):
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("import_parts", "/nowhere/parts.csv", "--owner", user.username)


def test_people_type_the_command_with_a_hyphen(tmp_path):
    code = "from hangar.cli import main; main()"
    done = subprocess.run(
        [sys.executable, "-P", "-c", code, "import-parts", "--help"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "--owner NAME" in done.stdout
