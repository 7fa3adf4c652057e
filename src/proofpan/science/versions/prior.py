"""What is believed of kitchens in general before any score: weakly informative spreads on a 0–10 scale."""

from dataclasses import dataclass

import numpy as np

from .space import Floats, VersionSpace


@dataclass(frozen=True)
class Spread:
    """A standard deviation that isn't known: its logarithm is normal about that of `typical`.

    Attributes:
        typical: points on a 0–10 scale.
        log_sd: 0.4 means that two in three lie within a factor 1.5 of `typical`.
    """

    typical: float
    log_sd: float


@dataclass(frozen=True)
class Prior:
    """Spreads of everything that moves a score; points on a 0–10 scale (stretched for other scales).

    Attributes:
        mean, mean_sd: of the average version.
        main: of a factor's options about their mean; own: log sd of one factor's spread about that of all.
        pairs_follow: how far pairs are larger where mains are (0 not at all, 1 in proportion).
        pair: of what a pair of options adds.
        surprise: of what a version has beyond mains and pairs.
        noise, taster, taster_version: of one score, of tasters' levels, of one taster's liking of one version.
        load, trial, lot, tray: of an oven load, of making the same again, of a lot of an ingredient, of a tray.
        day, drift: of a day (where a day holds several loads), and of the change a day to the next.
        position: of the first plate against later ones.
        taster_noise: log sd of each taster's noise about the common one.
        idle: chance that one factor of several does nothing, by itself or in company; idle_extra: that one does of which it is asked whether
            it is worth it; idle_alone: that the only one does; idle_sd: what nothing is.
        adds_up: chance that no pair of options does more than its parts; pairs_only: that options matter only in pairs; nothing: that
            nothing that varies matters.
        dud: chance that a taster's scores carry no information.
        spoilt: chance that a trial went wrong unnoticed, spoilt_sd: by how much.
        stray: chance that a score is a slip (wrong plate, wrong key), stray_sd: by how much.
    """

    mean: float = 6.0
    mean_sd: float = 2.0
    main: Spread = Spread(0.7, 0.45)
    own: float = 0.25
    pairs_follow: float = 0.6
    pair: Spread = Spread(0.55, 0.5)
    surprise: Spread = Spread(0.05, 1.2)
    noise: Spread = Spread(1.1, 0.3)
    taster: Spread = Spread(0.9, 0.4)
    taster_version: Spread = Spread(0.5, 0.35)
    load: Spread = Spread(0.3, 0.5)
    trial: Spread = Spread(0.3, 0.4)
    lot: Spread = Spread(0.5, 0.5)
    tray: Spread = Spread(0.3, 0.8)
    day: Spread = Spread(0.2, 0.5)
    drift: Spread = Spread(0.15, 0.7)
    position: Spread = Spread(0.2, 0.4)
    taster_noise: float = 0.25
    idle: float = 0.03
    idle_extra: float = 0.40
    idle_alone: float = 0.10
    idle_sd: float = 0.05
    adds_up: float = 0.06
    pairs_only: float = 0.05
    nothing: float = 0.03
    dud: float = 0.15
    spoilt: float = 0.02
    spoilt_sd: float = 2.0
    stray: float = 0.02
    stray_sd: float = 3.0

    def idle_chances(self, space: VersionSpace) -> Floats:
        """Chance that each factor does nothing, shape (n_factors,)."""
        if len(space.factors) == 1:
            return np.full(1, self.idle_alone)
        return np.where(space.extras, self.idle_extra, self.idle)
