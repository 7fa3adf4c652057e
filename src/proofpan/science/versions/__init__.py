"""The model over all versions: what few trials say of every version that could be made, and which trials to cook next."""

from .aliases import Alias, aliases
from .choose import Choice, LoadPlan, choose
from .contrast import Contrast, contrast, contrasts, gaussian
from .decision import Decision, decide, sample_scores
from .dryrun import DryRun, PlanResult, dry_run, smallest_difference
from .failure import FailureOdds, failure_odds
from .fit import fit
from .health import TasterHealth, taster_health
from .needed import needed
from .observations import Scores, make_scores, no_scores
from .outcome import outcome
from .overall import overall_score, overall_worth, rescaled
from .palates import Palates, palates
from .posterior import Posterior, Taster
from .prior import Prior, Spread
from .space import VersionsError, VersionSpace, make_space
from .stopping import another_round_pays
from .tiebreak import TieBreak, tie_break_odds

__all__ = [
    "Alias", "Choice", "Contrast", "Decision", "DryRun", "FailureOdds", "LoadPlan", "Palates", "PlanResult", "Posterior",
    "Prior", "Scores", "Spread",
    "Taster", "TasterHealth", "TieBreak", "VersionSpace", "VersionsError", "aliases", "another_round_pays", "choose", "contrast", "contrasts", "decide",
    "dry_run", "failure_odds", "fit", "gaussian", "make_scores", "make_space", "needed", "no_scores", "outcome", "overall_score", "overall_worth",
    "palates", "rescaled", "sample_scores", "smallest_difference", "taster_health", "tie_break_odds",
]
