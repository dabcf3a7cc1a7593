"""The figures of all databases side by side, as text."""

QUERIES_AIM, RATIO_AIM = 12, 4
LOG_ROWS_AIM = 5000


def text_of(runs):
    """One text for one or more runs."""
    heads = [run["machine"]["database"] for run in runs]
    lines = [*_about(runs[0]), ""]
    lines += _table("", heads, [("data", [_sizes(run) for run in runs])], widest=60)
    lines += ["", "Page of 50 parts by kind, mass and not fitted, as one person sees it"]
    rows = [(name, [f"{run['list'][name]:.2f} ms" for run in runs]) for name in ("raw", "api")]
    rows.append(("ratio", [f"{run['list']['ratio']:.2f}" for run in runs]))
    rows.append(("rows", [str(run["list"]["rows"]) for run in runs]))
    rows.append(("queries of the API", [str(run["list"]["api queries"]) for run in runs]))
    lines += _table("raw: one statement and json.dumps", heads, rows)
    lines += [f"aim: a ratio of {RATIO_AIM} at most", "", "Medians"]
    lines += _table("", heads, _rows(runs, "timings", "{:.1f} ms"))
    lines += ["", f"Queries of each page (aim: {QUERIES_AIM} at most)"]
    lines += _table("", heads, _rows(runs, "queries", "{}"))
    over = {name for run in runs for name, number in run["queries"].items() if number > QUERIES_AIM}
    lines += [f"over the aim: {', '.join(sorted(over)) or 'none'}"]
    lines += ["", "Health of packs, medians (cold: nothing stored)"]
    lines += _table("", heads, _rows(runs, "packs", "{:.1f} ms"))
    lines += ["", f"Log files, rows a second (aim: {LOG_ROWS_AIM} or better)"]
    lines += _table("", heads, _rows(runs, "log files", "{:.0f}"))
    return "\n".join(lines) + "\n"


def _about(run):
    machine = run["machine"]
    return [
        f"{machine['processor']}, {machine['cores']} cores, {machine['system']}",
        f"Python {machine['python']}, Django {machine['django']}, "
        f"REST framework {machine['rest framework']}",
        f"medians of {run['rounds']} rounds that take turns, in one process",
    ]


def _sizes(run):
    sizes = run["data"]
    return f"{sizes['parts']} parts, made in {sizes['seconds']:.0f} s"


def _rows(runs, group, form):
    return [(name, [form.format(run[group][name]) for run in runs]) for name in runs[0][group]]


def _table(corner, heads, rows, widest=14):
    first = max(len(name) for name in [corner, *(name for name, _ in rows)])
    widths = [
        max(len(head), *(min(len(cells[place]), widest) for _, cells in rows))
        for place, head in enumerate(heads)
    ]
    lines = [_line(corner, heads, first, widths)]
    return lines + [_line(name, cells, first, widths) for name, cells in rows]


def _line(name, cells, first, widths):
    padded = (cell.rjust(width) for cell, width in zip(cells, widths, strict=True))
    return "  ".join([name.ljust(first), *padded]).rstrip()
