"""What the added stage reads and gives."""

from slabwright.records.stage import Stage
from slabwright.records.table import Column, Schema

TALLY = Schema(
    "tally",
    "Cores by lane",
    "a lane",
    (
        Column("lane", "text", "lane"),
        Column("cores", "count", "cores taken"),
        Column("mean", "thickness", "mean core length"),
    ),
)
STAGE = Stage(
    name="tally",
    title="Core tally",
    question="How many cores were taken in each lane, and how long are they?",
    facts=("cores",),
    needed=("cores",),
    decisions=("survey",),
    after=("survey",),
    may_use=("bond",),
    outcomes=(TALLY,),
    run="tests.added_stage.run",
)
