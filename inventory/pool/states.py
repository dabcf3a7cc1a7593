"""What may be done with a part in which state: the table, and how it is asked.

A part can be in several states at once: lent and in the borrower's aircraft. An action is possible
when the part is in a state that the action needs, and in none that stands against it.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from enum import StrEnum


class State(StrEnum):
    """What stands in the way of a part, or nothing."""

    FREE = "free"
    CLAIMED = "claimed"
    LENT = "lent"
    FITTED = "fitted"
    SUSPECT = "suspect"
    RETIRED = "retired"


class Action(StrEnum):
    """What a person may want to do with a part."""

    OFFER = "offer"
    CLAIM = "claim"
    QUEUE = "queue"
    RELEASE = "release"
    LEND = "lend"
    EXTEND = "extend"
    TAKE_BACK = "take back"
    TRANSFER = "transfer"
    LOSE = "lose"
    STOP = "stop"
    FIT = "fit"
    RETIRE = "retire"


ALL_STATES = tuple(State)
NOT_TO_BE_USED = "The part is suspect, broken or out of service: it has to be inspected first."
RETIRED = "The part is retired."
IN_AN_AIRCRAFT = "The part is in an aircraft: it has to come out first."
LENT_OUT = "The part is lent out."


@dataclass(frozen=True)
class Terms:
    """What an action needs, what stands against it, and where it is for one person only."""

    needs: frozenset[State] = frozenset()
    without: str = ""
    against: dict[State, str] = field(default_factory=dict)
    only: dict[State, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Answer:
    """Whether an action is possible in a state, and the words beside it."""

    is_allowed: bool
    words: str = ""


TABLE: dict[Action, Terms] = {
    Action.OFFER: Terms(against={State.SUSPECT: NOT_TO_BE_USED, State.RETIRED: RETIRED}),
    Action.CLAIM: Terms(
        against={
            State.CLAIMED: "Somebody has claimed this part already.",
            State.FITTED: IN_AN_AIRCRAFT,
            State.SUSPECT: NOT_TO_BE_USED,
            State.RETIRED: RETIRED,
        },
        only={State.LENT: "Only by who has it on loan. Others wait in the queue."},
    ),
    Action.QUEUE: Terms(
        needs=frozenset({State.CLAIMED, State.LENT, State.FITTED}),
        without="The part is free: claim it, there is nothing to wait for.",
        against={State.SUSPECT: NOT_TO_BE_USED, State.RETIRED: RETIRED},
    ),
    Action.RELEASE: Terms(needs=frozenset({State.CLAIMED}), without="Nobody has claimed it."),
    Action.LEND: Terms(
        against={
            State.LENT: "The part is lent out already.",
            State.FITTED: "The part is in an aircraft: take it out first.",
            State.SUSPECT: NOT_TO_BE_USED,
            State.RETIRED: RETIRED,
        },
        only={State.CLAIMED: "Only to who claimed it."},
    ),
    Action.EXTEND: Terms(
        needs=frozenset({State.LENT, State.CLAIMED}),
        without="It is neither lent nor claimed.",
        against={State.SUSPECT: NOT_TO_BE_USED, State.RETIRED: RETIRED},
    ),
    Action.TAKE_BACK: Terms(
        needs=frozenset({State.LENT}),
        without="It is not lent out.",
        against={State.FITTED: "The part is still in an aircraft: take it out first."},
    ),
    Action.TRANSFER: Terms(
        against={State.FITTED: "Take the part out of its aircraft first.", State.RETIRED: RETIRED},
        only={
            State.LENT: "Only to who has it on loan.",
            State.CLAIMED: "Only to who claimed it.",
        },
    ),
    Action.LOSE: Terms(
        against={
            State.FITTED: "The part is in an aircraft: take it out of the records there first.",
            State.RETIRED: RETIRED,
        },
    ),
    Action.STOP: Terms(),
    Action.FIT: Terms(
        against={
            State.FITTED: "It is in an aircraft already.",
            State.RETIRED: RETIRED,
        },
        only={
            State.SUSPECT: "Only where suspect and no worse, and the build says so.",
            State.CLAIMED: "Only by who claimed it.",
            State.LENT: "Only by who has it on loan.",
        },
    ),
    Action.RETIRE: Terms(
        against={
            State.LENT: "The part is lent out: take it back first.",
            State.FITTED: "Take the part out of its aircraft first.",
            State.RETIRED: "This part is retired already.",
        },
    ),
}


def refusal(
    action: Action, states: Collection[State], *, one_of_them: Collection[State] = ()
) -> str:
    """Why an action is not possible in those states at once; empty when it is.

    `one_of_them` names the states that concern the person in question: their loan, their claim.
    """
    terms = TABLE[action]
    for state in ALL_STATES:
        if state in states and state in terms.against and state not in one_of_them:
            return terms.against[state]
    for state in ALL_STATES:
        if state in states and state in terms.only and state not in one_of_them:
            return terms.only[state]
    if terms.needs and terms.needs.isdisjoint(states):
        return terms.without
    return ""


def answer(action: Action, state: State) -> Answer:
    """One cell of the table: an action on a part that is in this state and no other."""
    terms = TABLE[action]
    if state in terms.only:
        return Answer(is_allowed=True, words=terms.only[state])
    reason = refusal(action, {state})
    return Answer(is_allowed=not reason, words=reason)


def rows() -> list[tuple[Action, list[tuple[State, Answer]]]]:
    """The whole table, action by action."""
    return [(action, [(state, answer(action, state)) for state in ALL_STATES]) for action in Action]
