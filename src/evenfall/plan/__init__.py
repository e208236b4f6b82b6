"""What next: safety gates, rule cards, and the ladder from today's setup to the finished one."""

from evenfall.plan.advice import Advice, Allowance, advise
from evenfall.plan.cards import NO_SOURCE, Card, Said, cards, named_card
from evenfall.plan.checklist import MANY_SIGNS, ChecklistReading, Sign, checklist, read_checklist
from evenfall.plan.dip import Dip, Slip, dip, slip_of
from evenfall.plan.evidence import Before, Evidence, step_evidence
from evenfall.plan.gates import (
    CHECKLIST,
    CLOSES,
    FLAG_KINDS,
    LEFT_RIGHT,
    LEFT_RIGHT_CONTEXT,
    PRECHECK,
    STOP_SIGNS,
    Flag,
    Gate,
    OwnRecord,
    cleared,
    gates,
    left_right_reason,
)
from evenfall.plan.ladder import (
    DUE_DAYS,
    Ladder,
    Proof,
    Step,
    films_due,
    move_to,
    reordered,
    step_back,
    step_down,
)
from evenfall.plan.loads import LOAD_CONTEXT, Caps, LoadShare, added_mass_allowed, load_share, shoe_masses
from evenfall.plan.problem import (
    CANNOT_TELL,
    IN_THE_BAND,
    PROBLEMS,
    TOO_PACE,
    TOO_TROT,
    UNSTEADY,
    out_of_band,
    problem_of,
)
from evenfall.plan.starter import Finished, starter_steps
from evenfall.plan.suggesting import ONE_AT_A_TIME, Tried, barn_counts, say_count, suggest
from evenfall.plan.sureness import Spread, effective, odd_film, share_of, spread_of, sure_of
from evenfall.plan.writing import ladder_data, ladder_of, proof_data, proof_of

__all__ = [
    "CANNOT_TELL", "CHECKLIST", "CLOSES", "DUE_DAYS", "FLAG_KINDS", "IN_THE_BAND", "LEFT_RIGHT", "LEFT_RIGHT_CONTEXT",
    "LOAD_CONTEXT", "MANY_SIGNS", "NO_SOURCE", "ONE_AT_A_TIME", "PRECHECK", "PROBLEMS", "STOP_SIGNS", "TOO_PACE",
    "TOO_TROT", "UNSTEADY", "Advice", "Allowance", "Before", "Caps", "Card", "ChecklistReading", "Dip", "Evidence",
    "Finished", "Flag", "Gate", "Ladder", "LoadShare", "OwnRecord", "Proof", "Said", "Sign", "Slip", "Spread", "Step",
    "Tried", "added_mass_allowed", "advise", "barn_counts", "cards", "checklist", "cleared", "dip", "effective",
    "films_due", "gates", "ladder_data", "ladder_of", "left_right_reason", "load_share", "move_to", "named_card",
    "odd_film", "out_of_band", "problem_of", "proof_data", "proof_of", "read_checklist", "reordered", "say_count",
    "share_of", "shoe_masses", "slip_of", "spread_of", "starter_steps", "step_back", "step_down", "step_evidence",
    "suggest", "sure_of",
]  # fmt: skip
