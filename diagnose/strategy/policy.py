"""The numbers of the strategy in one place, each with what it stands for.

All are a foreman's judgement, from memory. They say what the money of the cards does not: what an
interruption costs, how far other people's words go, when a check is worth a new beginning.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = [
    "ALIKE",
    "ASK_COST",
    "AS_GOOD",
    "BENCH_LEAST",
    "BENCH_SHARE",
    "CONFIRM_PRICE",
    "CONFIRM_TRIES",
    "COUNTER_LEAST",
    "COUNTER_QUESTIONS",
    "GENTLY_FOR_NOTHING",
    "GENTLY_MISSED",
    "GENTLY_WHERE_STOP",
    "NEAR",
    "OPEN",
    "RIDE_AT_COUNTER",
    "RIDE_RISK",
    "STOP_FOR_NOTHING",
    "SURE",
    "TRUSTED",
    "Open",
]

# what a question costs -------------------------------------------------------------------------

#: patience of a queue: what one more question costs besides its minutes [share of a minute]
ASK_COST = 0.4

#: answers that are taken as given before the first one came, where it is judged how often the
#: people of this job know what they are asked
TRUSTED = 3.0

# when to stop asking ---------------------------------------------------------------------------

#: the counter asks at most so many questions, the look included: more, and people walk off
COUNTER_QUESTIONS = 7

#: what a step must promise to save, over its own price, to be worth the interruption [currency]
COUNTER_LEAST, BENCH_LEAST = 0.3, 3.0

#: and at the bench, once it is sure enough, this share of what stopping now would cost
BENCH_SHARE = 0.02

#: chance of a cure from which it is sure enough to open
SURE = 0.85

#: share of the saving within which steps count as alike, so that the one that tells most at once
#: goes first: at the bench more, because a check that cannot be made tells nothing and a row of
#: small ones before the one that settles it tires people
ALIKE = {"counter": 0.03, "bench": 0.25}


@dataclass(frozen=True)
class Open:
    """Until when it is asked on although nothing pays for itself.

    ``sure``: share of the likeliest plan. ``bits``: what a question must tell. ``most``: questions.
    """

    sure: float
    bits: float
    most: int


#: three steps ahead do not see what many cheap questions are worth together
OPEN = {"counter": Open(0.6, 0.08, 5), "bench": Open(0.8, 0.06, 10)}

#: what confirming before opening may cost [currency], and how often it is tried: nothing is opened
#: on other people's words alone
CONFIRM_PRICE, CONFIRM_TRIES = 20.0, 3

# what a wrong word about the ride costs, in comebacks -------------------------------------------

#: 'ride' to somebody whose shock must not be ridden
RIDE_RISK = 4.0
#: 'ride' to somebody who should go gently
GENTLY_MISSED = 0.3
#: 'ride gently' where it must not be ridden, as a share of `RIDE_RISK`
GENTLY_WHERE_STOP = 0.5
#: 'ride gently' for nothing
GENTLY_FOR_NOTHING = 0.1
#: 'stop riding' for nothing
STOP_FOR_NOTHING = 0.25
#: how much of that the next question at the counter is answerable for: the bench looks again
RIDE_AT_COUNTER = 0.2

# which plan ------------------------------------------------------------------------------------

#: share of the least expected cost by which the plan that is most often right may cost more
NEAR = 0.25

#: share of the best chance of a cure that a cheaper plan must reach to be the right one
AS_GOOD = 0.8
