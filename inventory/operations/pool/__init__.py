"""Writes to the pool: offers, claims, the queue, loans, and parts that change hands for good."""

from inventory.operations.pool.claiming import (
    claim_part,
    decline_wait,
    extend_claim,
    give_up_wait,
    grant_wait,
    join_queue,
    release_claim,
)
from inventory.operations.pool.lending import extend_loan, lend_part, return_loan
from inventory.operations.pool.offering import offer_part, withdraw_offer
from inventory.operations.pool.owning import report_lost, transfer_part
from inventory.operations.pool.queues import grant_next, settle_queues
from inventory.operations.pool.rules import delete_lending_rule, save_lending_rule

__all__ = (
    "claim_part",
    "decline_wait",
    "delete_lending_rule",
    "extend_claim",
    "extend_loan",
    "give_up_wait",
    "grant_next",
    "grant_wait",
    "join_queue",
    "lend_part",
    "offer_part",
    "release_claim",
    "report_lost",
    "return_loan",
    "save_lending_rule",
    "settle_queues",
    "transfer_part",
    "withdraw_offer",
)
