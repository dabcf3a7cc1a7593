"""The page of parts as one would write it by hand: one statement and json.dumps."""

import json
from datetime import UTC, datetime

PAGE = 50
COLUMNS = """
SELECT p.code, p.kind, p.name, s.maker, s.name, p.sheet_id, p.mass_g, s.mass_g, p.mass_source,
       p.mass_uncertainty_g, p.condition, p.out_of_service, p.has_free, p.is_bag, p.count,
       p.fitted_count, p.place_id, l.name, u.username, c.name, c.slug, p.notes, p.acquired_on,
       p.created_at, p.updated_at
FROM inventory_part p
JOIN inventory_datasheet s ON s.id = p.sheet_id
LEFT JOIN inventory_place l ON l.id = p.place_id
LEFT JOIN clubs_user u ON u.id = p.person_id
LEFT JOIN clubs_club c ON c.id = p.club_id
"""
MINE = "SELECT club_id FROM clubs_membership WHERE user_id = {me} AND left_at IS NULL"
SEEN = f"""
(p.person_id = {{me}} OR p.club_id IN ({MINE})
 OR p.id IN (SELECT part_id FROM inventory_offer WHERE ended_at IS NULL AND club_id IN ({MINE}))
 OR p.id IN (SELECT part_id FROM inventory_loan WHERE ended_at IS NULL AND borrower_id = {{me}})
 OR p.id IN (SELECT part_id FROM inventory_claim WHERE ended_at IS NULL AND claimant_id = {{me}}))
"""
FILTERS = "p.kind = {kind} AND COALESCE(p.mass_g, s.mass_g) < {mass} AND p.has_free = TRUE"
STATEMENT = f"{COLUMNS} WHERE {FILTERS} AND {SEEN} ORDER BY p.id LIMIT {PAGE}"
NUMBERED = {"me": ":me", "kind": ":kind", "mass": ":mass"}
NAMED = {"me": "%(me)s", "kind": "%(kind)s", "mass": "%(mass)s"}


def raw_page(connection, person_id, kind, mass_max_g):
    """The first page as JSON text, past everything that Django would do."""
    values = {"me": person_id, "kind": kind, "mass": mass_max_g}
    connection.ensure_connection()
    cursor = connection.connection.cursor()
    names = NAMED if connection.vendor == "postgresql" else NUMBERED
    cursor.execute(STATEMENT.format(**names), values)
    return json.dumps([_row(row) for row in cursor.fetchall()], default=str)


def _row(row):
    (code, kind, name, maker, sheet_name, sheet, mass_g, rated_g, source, uncertainty_g, condition,
     stopped, has_free, is_bag, count, fitted, place, place_name, person, club, slug, notes,
     acquired, created, updated) = row  # fmt: skip
    owner = (
        {"kind": "club", "name": club, "slug": slug} if club else {"kind": "person", "name": person}
    )
    return {
        "code": code,
        "kind": kind,
        "name": name or f"{maker} {sheet_name}".strip(),
        "sheet": sheet,
        "mass_g": rated_g if mass_g is None else mass_g,
        "mass_source": source or ("unknown" if rated_g is None else "sheet"),
        "mass_uncertainty_g": uncertainty_g,
        "condition": condition,
        "out_of_service": stopped,
        "fitted": not has_free,
        "is_bag": bool(is_bag),
        "count": count,
        "fitted_count": fitted,
        "place": place,
        "place_name": place_name or "",
        "owner": owner,
        "notes": notes,
        "acquired_on": acquired,
        "created_at": _moment(created),
        "updated_at": _moment(updated),
    }


def _moment(value):
    # SQLite keeps a moment as text, without the zone.
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat().replace("+00:00", "Z")
    return value.replace(" ", "T") + "Z"
