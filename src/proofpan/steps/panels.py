"""What a tasting's answers say, one function a kind of ballot: plain columns in, one sentence first and the table behind it out.

Collected in the kitchen or brought in from elsewhere, the answers are read the same way. A column is a list with one entry an answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from proofpan.steps import panel_words as words
from proofpan.study.errors import BallotError, quoted
from proofpan.study.fields import Doc
from proofpan.study.words import capital, counted, joined

if TYPE_CHECKING:
    from proofpan.science.panels import Correlation

FORCED = ("triangle", "duo-trio", "two-out-of-five", "tetrad", "3-afc", "2-afc")


class PanelAnswer(Doc):
    """The sentences, the conclusion first; then the table and how it was worked out, for those who know the field."""

    kind: str
    says: tuple[str, ...]
    heads: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    method: str = ""
    answers: int


def forced_choice(kind: str, right: Sequence[bool], tasters: Sequence[str] = ()) -> PanelAnswer:
    """Triangle, duo-trio, two out of five, tetrad, 3-AFC, 2-AFC: how many were right.

    Parameters: kind, one of FORCED; right, one an answer; tasters, who answered (repeats of one taster are said).
    Raises: BallotError without an answer.
    """
    from proofpan.science import panels

    _some(right)
    n, count = len(right), sum(map(bool, right))
    test = panels.discrimination_test(kind, count, n, alternative="greater")
    says = [words.difference_words(test), *_repeats(tasters, n)]
    if test.minimum_correct is None:
        says.append(f"{counted(n, 'answer')} can't tell, even all right: ask more.")
    rows = [("right", f"{count} of {n}"), ("right by guessing", f"{n * panels.chance_of(kind):.1f} of {n}"),
            ("needed at 5 in 100", "more than there are" if test.minimum_correct is None else str(test.minimum_correct)),
            ("luck alone (p)", _p(test.p)), ("who can tell", _share(test.discriminators, test.discriminators_low, test.discriminators_high))]
    if kind != "two-out-of-five":
        apart = panels.dprime(kind, count, n)
        high = "no bound" if np.isinf(apart.high) else f"{apart.high:.2f}"
        value = "no bound" if np.isinf(apart.dprime) else f"{apart.dprime:.2f}"
        rows.append(("d′", f"{value} ({apart.low:.2f} to {high})"))
    return PanelAnswer(kind=kind, says=tuple(says), heads=("", "figure"), rows=tuple(rows), answers=n,
                       method="Exact binomial; ranges exact (Clopper–Pearson), 95 in 100.")


def preference(preferred: Sequence[str], other: Sequence[str], tasters: Sequence[str] = ()) -> PanelAnswer:
    """Paired preferences: one pair by the two-sided binomial, more plates by Bradley–Terry.

    Parameters: preferred, other, the plate chosen and the one it was tasted against, one each an answer.
    Raises: BallotError without an answer, or for a plate against itself.
    """
    from proofpan.science import panels

    _some(preferred)
    if any(a == b for a, b in zip(preferred, other, strict=True)):
        raise BallotError("A plate stands against itself: a pair needs two different ones.")
    names = sorted({*preferred, *other})
    wins = np.zeros((len(names), len(names)))
    for a, b in zip(preferred, other, strict=True):
        wins[names.index(a), names.index(b)] += 1
    met = wins + wins.T
    rows = tuple((names[i], f"{int(wins[i].sum())} of {int(met[i].sum())}") for i in np.argsort(-_ratio(wins.sum(axis=1), met.sum(axis=1)), kind="stable"))
    n = len(preferred)
    if len(names) == 2:
        test = panels.discrimination_test("paired", int(wins.max()), n, alternative="two-sided")
        one, two = names if wins[0, 1] >= wins[1, 0] else names[::-1]
        says: list[str] = [words.pair_words(test, one, two)]
        method = f"Exact binomial, two-sided, p {_p(test.p)}; range exact (Clopper–Pearson), 95 in 100."
    else:
        try:
            found = panels.bradley_terry(wins)
        except panels.PanelError:
            most = [names[i] for i in np.flatnonzero(wins.sum(axis=1) == wins.sum(axis=1).max())]
            says = [f"{capital(joined(most))} {'is' if len(most) == 1 else 'are'} preferred most often; how far isn't known, since some plate always "
                    "won, always lost or was never met."]
            method = "Bradley–Terry has no finite answer here."
        else:
            says = [words.preference_words(found, names)]
            method = (f"Bradley–Terry by maximum likelihood: all alike, χ² {found.overall_statistic:.2f}, df {found.overall_df}, "
                      f"p {_p(found.overall_p)}; circles, deviance {found.deviance:.2f}, df {found.residual_df}.")
    return PanelAnswer(kind="preference", says=(*says, *_repeats(tasters, n)), heads=("plate", "preferred"), rows=rows, method=method, answers=n)


def ranking(tasters: Sequence[str], plates: Sequence[str], ranks: Sequence[float], order: Sequence[str] = ()) -> PanelAnswer:
    """Ranks, 1 the best, ties allowed: Friedman; Durbin where each had only some; Page for an order named beforehand.

    Parameters: tasters, plates, ranks, one each a plate ranked; order, the plates from worst to best as expected before tasting.
    Raises: BallotError for a plate ranked twice by one taster, or an order that names other plates.
    """
    from proofpan.science import panels

    names, table = _grid(tasters, plates, [-r for r in ranks])
    if order and sorted(order) != sorted(names):
        raise BallotError(f"The order expected must name each plate once: {joined(names)}.")
    whole = table[~np.isnan(table).any(axis=1)]
    notes: list[str] = []
    if len(names) < 2 or len(table) < 2:
        return PanelAnswer(kind="ranking", says=("One order alone can't be told from luck: two tasters and two plates at least.",), answers=len(table))
    if np.isnan(table).any() and (found := _durbin(table)) is not None:
        says = words.incomplete_rank_words(found, names)
        method = f"Durbin's test, each taster having had only some: F {found.F:.2f}, df {found.F_df[0]} and {found.F_df[1]}, p {_p(found.F_p)}."
        sums = found.rank_sums
        return PanelAnswer(kind="ranking", says=(says,), heads=("plate", "rank sum, high is good"), method=method, answers=len(table),
                           rows=tuple((names[i], f"{sums[i]:g}") for i in np.argsort(-sums, kind="stable")))
    if len(whole) < len(table):
        notes.append(f"{counted(len(table) - len(whole), 'taster')} had not all plates and is left out." if len(table) - len(whole) == 1
                     else f"{len(table) - len(whole)} tasters had not all plates and are left out.")
    if len(whole) < 2:
        return PanelAnswer(kind="ranking", says=("Fewer than two tasters ranked all the plates, so no order can be given.",), answers=len(table))
    pairs = panels.rank_differences(whole) if len(names) > 2 else None
    result, alike = panels.friedman(whole), panels.kendall_w(whole)
    says_all = [words.rank_words(result, names, pairs)]
    if len(names) > 2:
        says_all.append(words.concordance_words(alike, len(whole)))
    method = (f"Friedman: χ² {result.statistic:.2f}, df {result.df}, p {_p(result.p if result.p_exact is None else result.p_exact)}"
              f"{' (exact)' if result.p_exact is not None else ''}; Kendall's W {alike.w:.2f}.")
    if pairs is not None:
        method += f" Rank sums {pairs.honestly_significant_difference:.1f} apart or more differ (Nemenyi)."
    if order and len(names) > 2:
        trend = panels.page(whole[:, [names.index(o) for o in order]])
        says_all.insert(0, words.trend_words(trend, order))
        method += f" Page: L {trend.L:g}, z {trend.z:.2f}."
    sums = np.asarray(result.rank_sums)
    rows = tuple((names[i], f"{len(names) + 1 - sums[i] / len(whole):.2f}", f"{sums[i]:g}") for i in np.argsort(-sums, kind="stable"))
    return PanelAnswer(kind="ranking", says=(*says_all, *notes), heads=("plate", "mean place", "rank sum, high is good"), rows=rows, method=method,
                       answers=len(table))


def liking(tasters: Sequence[str], plates: Sequence[str], scores: Sequence[float], unit: str = "points") -> PanelAnswer:
    """Marks on a scale: means by a mixed model with tasters at random, all pairs by Tukey; grades read as steps in order as a check."""
    from proofpan.science import mixed

    _some(scores)
    names = sorted(set(plates))
    if len(names) < 2:
        return PanelAnswer(kind="liking", says=("One plate alone has nothing to be told from: mark two at least.",), answers=len(scores))
    columns: dict[str, list[Any]] = {"score": [float(x) for x in scores], "taster": list(tasters), "plate": list(plates)}
    model = mixed.Model("score", ("plate",), {"plate": tuple(names)}, random=("taster", "taster:plate"))
    try:
        reduced = mixed.fit_what_can_be_told(columns, model)
        means, pairs = mixed.marginal_means(reduced.fit, ["plate"]), mixed.pairwise(reduced.fit, "plate")
        (test,) = mixed.anova(reduced.fit)
    except mixed.MixedError as error:
        return PanelAnswer(kind="liking", says=(f"These marks can't be told apart: {error}.",), answers=len(scores))
    ranked = sorted(means, key=lambda e: -e.estimate)
    says = [words.score_words(ranked, pairs, test.p, unit)]
    grade = _as_grades(columns, model)
    if grade:
        says.append(grade)
    if reduced.fit.zero and "taster" in reduced.fit.zero:
        says.append("The tasters use the scale alike: no spread between them could be seen.")
    method = (f"Linear mixed model by REML, tasters at random: F {test.F:.2f}, df {test.num_df} and {test.den_df:.1f} (Satterthwaite), p {_p(test.p)}; "
              "all pairs by Tukey.")
    rows = (*((e.name, f"{e.estimate:.2f}", f"{e.low:.2f} to {e.high:.2f}", "") for e in ranked),
            *((e.name.replace(" - ", " − "), f"{e.estimate:+.2f}", f"{e.low:.2f} to {e.high:.2f}", _p(e.p)) for e in pairs))
    return PanelAnswer(kind="liking", says=tuple(says), heads=("plate or pair", "mean or difference", "95 in 100", "p"),
                       rows=tuple(tuple(x.replace("-", "−") if i else x for i, x in enumerate(r)) for r in rows), method=method, answers=len(scores))


def just_right(plates: Sequence[str], answers: Sequence[float], liked: Sequence[float], thing: str) -> PanelAnswer:
    """Just-about-right answers (below 0 too little, above 0 too much) beside liking, a plate at a time."""
    from proofpan.science import panels

    _some(answers)
    says: list[str] = []
    rows = []
    for name in dict.fromkeys(plates):
        mine = [i for i, p in enumerate(plates) if p == name]
        found = panels.penalty_analysis([answers[i] for i in mine], [liked[i] for i in mine])
        lines = words.just_right_words(found, thing)
        says += [f"{capital(name)}. {lines[0]}" if len(set(plates)) > 1 else lines[0], *lines[1:]]
        for side, at, drop, range_ in (("too little", 0, found.mean_drop_too_little, found.mean_drop_too_little_interval),
                                       ("too much", 2, found.mean_drop_too_much, found.mean_drop_too_much_interval)):
            share = words.share_words(found.counts[at], found.answers, found.share_intervals[at])
            spread = "" if range_ is None else f"{range_[0]:.2f} to {range_[1]:.2f}".replace("-", "−")
            rows.append((name, side, share, "" if drop is None else f"{drop:.2f}".replace("-", "−"), spread))
    return PanelAnswer(kind="just right", says=tuple(says), heads=("plate", "side", "share", "liking lost", "95 in 100"), rows=tuple(rows),
                       method="Penalty analysis; ranges of shares exact (Clopper and Pearson), of liking lost by Welch's t.", answers=len(answers))


def from_control(tasters: Sequence[str], plates: Sequence[str], scores: Sequence[float], control: str) -> PanelAnswer:
    """Difference from control with the control hidden among the plates: each against it, all at once by Dunnett.

    Raises: BallotError when the control was never marked blind.
    """
    from proofpan.science import mixed

    names = sorted(set(plates))
    if control not in names:
        raise BallotError(f"The control {quoted(control)} isn't among the plates marked: {joined(names)}. Hide it among them.")
    if len(names) < 2:
        raise BallotError("Only the control was marked: there is nothing to hold against it.")
    columns: dict[str, list[Any]] = {"score": [float(x) for x in scores], "taster": list(tasters), "plate": list(plates)}
    model = mixed.Model("score", ("plate",), {"plate": (control, *(n for n in names if n != control))}, random=("taster", "taster:plate"))
    try:
        found = mixed.against_control(mixed.fit_what_can_be_told(columns, model).fit, "plate", control)
    except mixed.MixedError as error:
        return PanelAnswer(kind="difference from control", says=(f"These marks can't be told apart: {error}.",), answers=len(scores))
    rows = tuple((e.name.removesuffix(f" - {control}"), f"{e.estimate:+.2f}".replace("-", "−"), f"{e.low:.2f} to {e.high:.2f}".replace("-", "−"), _p(e.p))
                 for e in found)
    return PanelAnswer(kind="difference from control", says=tuple(words.control_words(e, control) for e in found), rows=rows,
                       heads=("plate", "beyond the hidden control", "95 in 100", "p"), answers=len(scores),
                       method="Linear mixed model by REML, tasters at random; all against the control by Dunnett.")


def agreement(tasters: Sequence[str], plates: Sequence[str], scores: Sequence[float]) -> PanelAnswer:
    """How far one taster's marks stand for another's (intraclass correlation) and whether they rank alike (Kendall's W).

    Marks of one taster for the same plate are averaged; plates that not everybody marked are left out.
    """
    from proofpan.science import panels

    who = list(dict.fromkeys(tasters))
    names = list(dict.fromkeys(plates))
    table = np.array([[_mean_of(tasters, plates, scores, t, p) for t in who] for p in names])
    table = table[~np.isnan(table).any(axis=1)]
    if len(who) < 2 or len(table) < 2:
        return PanelAnswer(kind="agreement", says=("How far tasters agree needs two of them and two plates that both marked.",), answers=len(scores))
    says: list[str] = []
    method = ""
    rows: list[tuple[str, ...]] = []
    try:
        found = panels.intraclass_correlation(table)
        says.append(words.agreement_words(found))
        forms = (("one taster, drawn from many: ICC(2,1)", found.random_judges), ("these tasters only: ICC(3,1)", found.fixed_judges),
                 ("mean of all: ICC(2,k)", found.random_judges_mean), ("mean of all, these only: ICC(3,k)", found.fixed_judges_mean))
        rows = [(name, *_figure(form)) for name, form in forms if np.all(np.isfinite([form.value, form.low, form.high]))]
        method = "Intraclass correlation (Shrout & Fleiss 1979), 95 in 100."
    except panels.PanelError:
        says.append("The tasters' marks move wholly together, or don't move at all: no figure of agreement can be given.")
    if len(table) > 2 and np.ptp(table) > 0:
        alike = panels.kendall_w(table.T)
        says.append(words.concordance_words(alike, len(who)))
        method = f"{method} Kendall's W {alike.w:.2f}, χ² {alike.statistic:.2f}, df {alike.df}, p {_p(alike.p)}.".strip()
    return PanelAnswer(kind="agreement", says=tuple(says), heads=("", "value", "95 in 100"), rows=tuple(rows), method=method, answers=len(scores))


def yes_or_no(tasters: Sequence[str], plates: Sequence[str], answers: Sequence[bool]) -> PanelAnswer:
    """Would you serve it? Yes or no for each plate: Cochran's Q."""
    from proofpan.science import panels

    names, table = _grid(tasters, plates, [float(a) for a in answers])
    whole = table[~np.isnan(table).any(axis=1)]
    if len(names) < 2 or not len(whole):
        return PanelAnswer(kind="yes or no", says=("Nobody answered for two plates, so they can't be told apart.",), answers=len(answers))
    found = panels.cochran_q(whole)
    share = whole.mean(axis=0)
    order = np.argsort(-share, kind="stable")
    says = words.yes_words(found.p, [(names[i], int(whole[:, i].sum())) for i in order], len(whole))
    rows = []
    for i in order:
        low, high = panels.clopper_pearson(int(whole[:, i].sum()), len(whole))
        rows.append((names[i], f"{int(whole[:, i].sum())} of {len(whole)}", f"{100 * low:.0f} to {100 * high:.0f} in 100"))
    return PanelAnswer(kind="yes or no", says=(says,), heads=("plate", "yes", "95 in 100"), rows=tuple(rows), answers=len(answers),
                       method=f"Cochran's Q {found.statistic:.2f}, df {found.df}, p {_p(found.p)}; ranges exact (Clopper–Pearson).")


def studies(names: Sequence[str], estimates: Sequence[float], variances: Sequence[float], unit: str = "points") -> PanelAnswer:
    """One effect over several studies: random effects by REML, the range by Hartung and Knapp."""
    from proofpan.science import pooling

    try:
        found = pooling.random_effects(estimates, variances, "reml", "hartung_knapp")
    except pooling.PoolingError as error:
        raise BallotError(f"{capital(str(error))}.") from None
    rows = [(n, f"{e:+.2f}".replace("-", "−"), f"{1.959964 * v ** 0.5:.2f}") for n, e, v in zip(names, estimates, variances, strict=True)]
    rows.append(("together", f"{found.estimate:+.2f}".replace("-", "−"), f"{(found.high - found.low) / 2:.2f}"))
    method = (f"Random effects, τ² {found.tau2:.3f} by REML ({found.tau2_low:.3f} to {found.tau2_high:.3f}), Q {found.Q:.2f} on {found.Q_df}, "
              f"p {_p(found.Q_p)}; range by Hartung–Knapp.")
    return PanelAnswer(kind="studies", says=(words.pooled_words(found, unit),), heads=("study", "effect", "give or take"), rows=tuple(rows),
                       method=method, answers=len(estimates))


def _some(column: Sequence[Any]) -> None:
    if not len(column):
        raise BallotError("The table holds no answer.")


def _repeats(tasters: Sequence[str], n: int) -> list[str]:
    people = len(set(tasters))
    if not people or people == n:
        return []
    if people == 1:
        return ["One taster answered: this speaks of that palate."]
    return [f"{counted(n, 'answer')} of {counted(people, 'taster')} are counted as if each came from somebody else."]


def _grid(tasters: Sequence[str], plates: Sequence[str], values: Sequence[float]) -> tuple[list[str], NDArray[np.float64]]:
    """Plates in order of their names, and a row a taster; nan where a taster didn't have a plate."""
    _some(values)
    who, names = list(dict.fromkeys(tasters)), sorted(set(plates))
    table = np.full((len(who), len(names)), np.nan)
    for t, p, x in zip(tasters, plates, values, strict=True):
        at = who.index(t), names.index(p)
        if not np.isnan(table[at]):
            raise BallotError(f"{t} answered twice for {p}: one answer a plate here, or name the repeats as different tasters.")
        table[at] = x
    return names, table


def _durbin(table: NDArray[np.float64]) -> Any:
    from proofpan.science import panels

    try:
        found = panels.durbin(table)
    except panels.PanelError:
        return None
    return None if np.isnan(found.F_p) else found


def _as_grades(columns: dict[str, list[Any]], model: Any) -> str:
    """A warning where marks read as grades (a cumulative-link model) tell another story; empty where they agree or can't be read so."""
    from proofpan.science.mixed import MixedError, Model, fit_reml
    from proofpan.science.mixed.ordinal import compare_with_gaussian, fit_ordinal, fit_ordinal_mixed

    grades = sorted(set(columns["score"]))
    if not 3 <= len(grades) <= 12:
        return ""
    named = {g: f"{g:g}" for g in grades}
    random = ("taster",) if len(set(columns["taster"])) > 2 else ()
    try:
        ordered = Model("grade", model.fixed, model.levels, random=random)
        data = {**columns, "grade": [named[x] for x in columns["score"]]}
        by_grade = (fit_ordinal_mixed if random else fit_ordinal)(data, ordered, tuple(named.values()))
        found = compare_with_gaussian(by_grade, fit_reml(columns, Model("score", model.fixed, model.levels, random=random)))
    except MixedError:
        return ""
    apart = [r.name.partition("[")[2].rstrip("]") for r in found if not r.agree]
    return f"Read as grades instead of distances, {joined(apart)} tells another story: hold it loosely." if apart else ""


def _mean_of(tasters: Sequence[str], plates: Sequence[str], scores: Sequence[float], taster: str, plate: str) -> float:
    mine = [x for t, p, x in zip(tasters, plates, scores, strict=True) if t == taster and p == plate]
    return float(np.mean(mine)) if mine else float("nan")


def _ratio(part: NDArray[np.float64], whole: NDArray[np.float64]) -> NDArray[np.float64]:
    return part / np.maximum(whole, 1)


def _figure(form: Correlation) -> tuple[str, str]:
    return f"{form.value:.2f}".replace("-", "−"), f"{form.low:.2f} to {form.high:.2f}".replace("-", "−")


def _share(value: float, low: float, high: float) -> str:
    return f"{100 * value:.0f} in 100 ({100 * low:.0f} to {100 * high:.0f})"


def _p(p: float) -> str:
    return "under 0.001" if p < 0.001 else f"{p:.3f}"
