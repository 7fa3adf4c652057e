"""The danger zone: an authority's two temperatures and the minutes allowed between them."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Zone:
    """An authority's danger zone: between the two temperatures, and the minutes allowed in it altogether.

    Follow your local food-safety authority; the limit here counts whatever the tasks and waits are marked with, no more.
    """

    name: str
    low_c: float
    high_c: float
    limit_minutes: int
    source: str

    def holds(self, food_c: float) -> bool:
        """Whether food at this temperature is in the zone."""
        return self.low_c < food_c < self.high_c


FOOD_CODE = Zone("US Food Code", 5, 57, 240, "FDA Food Code 2022, 3-501.16 and 3-501.19(B); from memory")
AUSTRALIA = Zone("Australia and New Zealand", 5, 60, 240, "FSANZ Standard 3.2.2 and its 2-hour/4-hour rule; from memory")
UNITED_KINGDOM = Zone("United Kingdom", 8, 63, 120, "Food Safety and Hygiene (England) Regulations 2013, sch. 4: 2 h hot; from memory")
ZONES = {zone.name: zone for zone in (FOOD_CODE, AUSTRALIA, UNITED_KINGDOM)}
