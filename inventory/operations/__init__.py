"""Writes to the inventory: each is one transaction and leaves a line in the part's history."""

from inventory.operations.guards import check_owner, lock_part, note_event
from inventory.operations.log import (
    add_log_entries,
    add_log_entry,
    check_new_entry,
    keep_new_entries,
    log_flight,
)
from inventory.operations.measuring import measurable_names, record_measurement
from inventory.operations.parts import (
    add_part,
    add_part_with_sheet,
    add_parts,
    change_part,
    retire_part,
)
from inventory.operations.places import delete_place, save_place
from inventory.operations.pool import (
    claim_part,
    decline_wait,
    delete_lending_rule,
    extend_claim,
    extend_loan,
    give_up_wait,
    grant_next,
    grant_wait,
    join_queue,
    lend_part,
    offer_part,
    release_claim,
    report_lost,
    return_loan,
    save_lending_rule,
    settle_queues,
    transfer_part,
    withdraw_offer,
)
from inventory.operations.sheets import delete_sheet, save_sheet
from inventory.operations.stopping import return_to_service, take_out_of_service

__all__ = (
    "add_log_entries",
    "add_log_entry",
    "add_part",
    "add_part_with_sheet",
    "add_parts",
    "change_part",
    "check_new_entry",
    "check_owner",
    "claim_part",
    "decline_wait",
    "delete_lending_rule",
    "delete_place",
    "delete_sheet",
    "extend_claim",
    "extend_loan",
    "give_up_wait",
    "grant_next",
    "grant_wait",
    "join_queue",
    "keep_new_entries",
    "lend_part",
    "lock_part",
    "log_flight",
    "measurable_names",
    "note_event",
    "offer_part",
    "record_measurement",
    "release_claim",
    "report_lost",
    "retire_part",
    "return_loan",
    "return_to_service",
    "save_lending_rule",
    "save_place",
    "save_sheet",
    "settle_queues",
    "take_out_of_service",
    "transfer_part",
    "withdraw_offer",
)
