"""The kitchen day, or days, as a scheduling problem: planned to proven best, checked independently, explained when impossible."""

from proofpan.science.daywork.classics import critical_path_length, job_shop_makespan, resource_constrained_makespan
from proofpan.science.daywork.errors import DayworkError, Infeasible, NotFound
from proofpan.science.daywork.explain import conflict
from proofpan.science.daywork.feasible import check, zone_minutes
from proofpan.science.daywork.kitchen import Blocked, Kitchen, Oven, Person
from proofpan.science.daywork.latest import Backward, backward
from proofpan.science.daywork.model import DayModel
from proofpan.science.daywork.planned import DayPlan, Level, OvenSetting, PlannedTask
from proofpan.science.daywork.plates import cooled_c
from proofpan.science.daywork.solve import plan
from proofpan.science.daywork.task import After, Need, OvenNeed, Started, Task
from proofpan.science.daywork.words import in_short, say_minutes
from proofpan.science.daywork.zone import AUSTRALIA, FOOD_CODE, UNITED_KINGDOM, ZONES, Zone

__all__ = [
    "AUSTRALIA",
    "FOOD_CODE",
    "UNITED_KINGDOM",
    "ZONES",
    "After",
    "Backward",
    "Blocked",
    "DayModel",
    "DayPlan",
    "DayworkError",
    "Infeasible",
    "Kitchen",
    "Level",
    "Need",
    "NotFound",
    "Oven",
    "OvenNeed",
    "OvenSetting",
    "Person",
    "PlannedTask",
    "Started",
    "Task",
    "Zone",
    "backward",
    "check",
    "conflict",
    "cooled_c",
    "critical_path_length",
    "job_shop_makespan",
    "plan",
    "resource_constrained_makespan",
    "in_short",
    "say_minutes",
    "zone_minutes",
]
