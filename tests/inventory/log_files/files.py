"""Log files as chargers and loggers write them, and how tests have them imported."""

import io
from dataclasses import replace

from inventory.log_files import importing, receiving
from inventory.models import LogFile

SUMMARY = "when;what;Ah;minutes\n{rows}"


def received(pack, text, *, name="log.csv", encoding="utf-8"):
    stream = io.BytesIO(text if isinstance(text, bytes) else text.encode(encoding))
    file = receiving.receive_file(pack, by=pack.person, file_name=name, stream=stream)
    return LogFile.objects.select_related("pack__sheet__pack", "by").get(pk=file.pk)


def matched(file, **changes):
    by = file.pack.person
    recipe = replace(importing.recipe_of(file, by=by), **changes)
    return importing.choose_recipe(file, recipe, by=by)


def imported(pack, text, **changes):
    """The file of a text, imported as it looks but for the changes."""
    return importing.import_all(matched(received(pack, text), **changes), by=pack.person)


def entries_of(pack):
    return list(pack.log.order_by("started_at", "kind"))


def reasons_of(file):
    return {row: reason for row, _, reason in file.problems}
