"""The command that imports a log file."""

import pytest
from django.core.management import CommandError, call_command

from tests.factories import ClubFactory, keeper_of, member_of, part_of
from tests.inventory.log_files.files import matched, received

pytestmark = pytest.mark.django_db

LIST = "when,what,mAh\n2026-05-01 10:00,charge,1020\n2026-05-02 14:30,flight,980\nsoon,use,1\n"
SAMPLES = "seconds,current (A)\n" + "".join(f"{n},6\n" for n in range(601))


@pytest.fixture
def pack(user):
    return part_of("pack", user)


@pytest.fixture
def written(tmp_path):
    def write(text, name="log.csv"):
        file = tmp_path / name
        file.write_text(text)
        return str(file)

    return write


@pytest.fixture
def recipe(pack):
    matched(received(pack, LIST.replace("980", "970"), name="charger.csv"))


def run(capsys, *arguments):
    call_command("import_log", *arguments)
    return capsys.readouterr().out


@pytest.mark.usefixtures("recipe")
def test_a_file_like_an_earlier_one_is_imported_with_its_progress(pack, written, capsys):
    out = run(capsys, written(LIST), "--pack", pack.code)
    assert "100 %, 3 rows" in out
    assert "entries added: 2" in out
    assert "Row 4, when" in out
    assert pack.log.count() == 2


@pytest.mark.usefixtures("recipe")
def test_a_second_run_adds_nothing(pack, written, capsys):
    run(capsys, written(LIST), "--pack", pack.code)
    run(capsys, written(LIST), "--pack", pack.code)
    assert pack.log.count() == 2


@pytest.mark.usefixtures("recipe")
def test_a_recipe_is_named(pack, written, capsys):
    run(capsys, written(LIST), "--pack", pack.code, "--recipe", "charger")
    assert pack.log.count() == 2


def test_a_file_that_nobody_matched_is_refused_in_words(pack, written):
    with pytest.raises(CommandError, match="not known how this file is read"):
        call_command("import_log", written(LIST), "--pack", pack.code)


def test_a_new_file_is_read_as_its_headers_suggest_once_that_is_wanted(pack, written, capsys):
    with pytest.raises(CommandError, match="“mAh” is "):
        call_command("import_log", written(LIST), "--pack", pack.code)
    run(capsys, written(LIST), "--pack", pack.code, "--suggested")
    assert pack.log.count() == 2


def test_a_recording_is_told_when_it_began(pack, written, capsys):
    matched(received(pack, SAMPLES + "\n", name="logger.csv"), starts_at="2026-05-01 10:00")
    run(capsys, written(SAMPLES), "--pack", pack.code, "--starts-at", "2026-05-02 10:00")
    (use,) = pack.log.all()
    assert (use.charge_mah, use.started_at.day) == (pytest.approx(1000), 2)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (["--pack", "nonsense"], "Label codes"),
        (["--by", "nobody"], "no user"),
        (["--recipe", "none"], "no recipe"),
    ],
)
def test_wrong_words_are_told(pack, written, options, message):
    with pytest.raises(CommandError, match=message):
        call_command("import_log", written(LIST), "--pack", pack.code, *options)


def test_a_file_that_is_not_there_is_told(pack, tmp_path):
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("import_log", str(tmp_path / "none.csv"), "--pack", pack.code)


def test_a_clubs_pack_needs_one_of_its_keepers(written):
    club = ClubFactory()
    pack = part_of("pack", club)
    with pytest.raises(CommandError, match="--by"):
        call_command("import_log", written(LIST), "--pack", pack.code)
    with pytest.raises(CommandError, match="owner or keeper"):
        call_command(
            "import_log", written(LIST), "--pack", pack.code, "--by", member_of(club).username
        )
    with pytest.raises(CommandError, match="not known how"):
        call_command(
            "import_log", written(LIST), "--pack", pack.code, "--by", keeper_of(club).username
        )
