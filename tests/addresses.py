"""Every page of the site by its address pattern, with things put in for its names."""

from dataclasses import dataclass

from django.urls import URLPattern, get_resolver, reverse

# The API is asked by scripts.
NOT_PAGES = ("api/v1/",)

# What is only ever sent to, from a form on another page.
ACTIONS = {
    "builds:answer_withdraw",
    "builds:kit_claim",
    "builds:kit_fit",
    "builds:position_clear",
    "builds:position_fit",
    "builds:position_remove",
    "builds:power_flight",
    "builds:power_reading_add",
    "builds:surface_remove",
    "builds:variant_apply",
    "builds:variant_delete",
    "builds:variant_drop",
    "builds:variant_try",
    "builds:variant_undo",
    "builds:weigh_in_add",
    "clubs:add_radio_limit",
    "clubs:change_field",
    "clubs:change_mass_line",
    "clubs:change_role",
    "clubs:end_membership",
    "clubs:invite",
    "clubs:remove_radio_limit",
    "clubs:sign_out",
    "clubs:withdraw_invitation",
    "inventory:import_discard",
    "inventory:log_file_discard",
    "inventory:part_measure",
    "inventory:calendar",
    "inventory:feed_end",
    "inventory:feed_renew",
    "inventory:lending_rule_delete",
    "inventory:notices_read",
    "inventory:wait_end",
    "inventory:wait_grant",
    "inventory:place_delete",
    "inventory:sheet_delete",
}
# What leads elsewhere at once.
SIGNPOSTS = {"inventory:part_find"}

OF_A_PART = (
    "part_detail", "part_change", "part_offer", "part_claim", "part_lend", "part_stop",
    "part_retire", "part_wait", "part_transfer", "part_lost",
)  # fmt: skip
OF_A_BUILD = (
    "answer_list",
    "balance",
    "build_ground",
    "build_detail", "build_change", "build_history", "position_add", "variant_list", "variant_add",
    "variant_compare", "checks", "crash_add", "field_sheet",
    "signed_sheets", "power", "placing", "room", "kit", "controls", "surface_add", "outputs",
    "pack_match",
)  # fmt: skip
OF_A_POSITION = ("position_detail", "position_change")
OF_A_SURFACE = ("surface_change", "throw_add")
OF_A_VARIANT = ("variant_detail", "variant_change")


@dataclass(frozen=True)
class Things:
    """What stands for the names in addresses; None where there is no such thing."""

    part: str
    pack: str
    sheet: int
    airframe_sheet: int
    place: int
    build: int
    position: int
    club: str
    stopped_part: str | None = None
    token: str | None = None
    offer: int | None = None
    claim: int | None = None
    loan: int | None = None
    run: int | None = None
    matching_run: int | None = None
    log_file: int | None = None
    variant: int | None = None
    surface: int | None = None
    flown_build: int | None = None
    signed_sheet: int | None = None

    def arguments(self):
        """The arguments of each named page; None where there is nothing to show."""
        position = {"pk": self.build, "position_pk": self.position}
        variant = {"pk": self.build, "variant_pk": self.variant}
        surface = {"pk": self.build, "surface_pk": self.surface}
        return {
            **{f"inventory:{name}": {"code": self.part} for name in OF_A_PART},
            **{f"builds:{name}": {"pk": self.build} for name in OF_A_BUILD},
            **{f"builds:{name}": position for name in OF_A_POSITION},
            **{f"builds:{name}": _given(**variant) for name in OF_A_VARIANT},
            **{f"builds:{name}": _given(**surface) for name in OF_A_SURFACE},
            "builds:variant_position": _given(**variant, position_pk=self.position),
            "builds:signed_sheet": _given(pk=self.flown_build, sheet_pk=self.signed_sheet),
            "builds:variant_surface": _given(**variant, surface_pk=self.surface),
            "inventory:part_inspect": _given(code=self.stopped_part),
            "inventory:pack_log": {"code": self.pack},
            "inventory:pack_detail": {"code": self.pack},
            "inventory:log_import": {"code": self.pack},
            "inventory:log_file": _given(code=self.pack, pk=self.log_file),
            "inventory:log_file_columns": _given(code=self.pack, pk=self.log_file),
            "inventory:sheet_add": {"kind": "airframe"},
            "inventory:sheet_detail": {"pk": self.sheet},
            "inventory:sheet_change": {"pk": self.sheet},
            "inventory:sheet_positions": {"pk": self.airframe_sheet},
            "inventory:place_change": {"pk": self.place},
            "inventory:offer_withdraw": _given(pk=self.offer),
            "inventory:claim_release": _given(pk=self.claim),
            "inventory:loan_return": _given(pk=self.loan),
            "inventory:loan_extend": _given(pk=self.loan),
            "inventory:claim_extend": _given(pk=self.claim),
            "inventory:lending_rules": {"slug": self.club},
            "inventory:import_detail": _given(pk=self.run),
            "inventory:import_match": _given(pk=self.matching_run),
            "clubs:club_detail": {"slug": self.club},
            "builds:rule_limits": {"slug": self.club},
            "clubs:join": _given(token=self.token),
        }

    def address(self, name):
        """The address of a page, or None where there is nothing to show."""
        arguments = self.arguments()
        if name not in arguments:
            return reverse(name)
        return reverse(name, kwargs=arguments[name]) if arguments[name] else None


def _given(**arguments):
    return arguments if None not in arguments.values() else None


def page_names():
    """The name of every page, in the order of the patterns."""
    return [name for name in _names(get_resolver()) if name not in ACTIONS | SIGNPOSTS]


def _names(resolver, namespace="", before=""):
    for pattern in resolver.url_patterns:
        route = before + str(pattern.pattern)
        if route.startswith(NOT_PAGES):
            continue
        if isinstance(pattern, URLPattern):
            yield f"{namespace}{pattern.name}"
            continue
        inner = f"{namespace}{pattern.namespace}:" if pattern.namespace else namespace
        yield from _names(pattern, inner, route)
