"""Adapters of the mixed-model calls: read the columns, state the model, pass on."""

import csv

from proofpan.science import mixed


def columns(path):
    """A CSV file's columns as text."""
    with open(path, encoding="utf-8", newline="") as file:
        header, *lines = list(csv.reader(file))
    return {name: [line[j] for line in lines] for j, name in enumerate(header)}


def model(inputs):
    """The model that a case states."""
    return mixed.Model(
        response=inputs["response"],
        fixed=tuple(inputs["fixed"]),
        levels={name: tuple(levels) for name, levels in inputs["levels"].items()},
        numeric=tuple(inputs.get("numeric") or ()),
        coding=inputs.get("coding", "treatment"),
        random=tuple(inputs.get("random") or ()),
        random_slopes=tuple(
            mixed.RandomSlopes(s["group"], tuple(s["terms"]), s["correlated"])
            for s in inputs.get("random_slopes") or ()
        ),
    )


def fitted(inputs):
    """The case's fit."""
    return mixed.fit_reml(columns(inputs["data"]), model(inputs))


def fit_reml(inputs):
    """mixed.fit_reml."""
    fit = fitted(inputs)
    return {
        "coefficients": fit.coefficients,
        "se": fit.se,
        "variances": dict(fit.variances),
        "loglik_reml": fit.loglik_reml,
        "observations": fit.observations,
        "singular": fit.singular,
    }


def by_name(estimates, value="estimate"):
    """Estimates as the cases have them: name → figures, the figure itself under `value`."""
    return {
        e.name: {value: e.estimate, **{k: getattr(e, k) for k in ("se", "df", "t", "p", "low", "high")}}
        for e in estimates
    }


def coefficients(inputs):
    """mixed.coefficients_satterthwaite."""
    return by_name(mixed.coefficients(fitted(inputs)))


def contrast(inputs, df_method):
    """mixed.contrast_satterthwaite and mixed.contrast_kenward_roger."""
    return vars(mixed.contrast(fitted(inputs), inputs["over"], inputs["weights"], inputs["level"], df_method))


def anova(inputs, df_method):
    """mixed.anova_satterthwaite and mixed.anova_kenward_roger."""
    return {test.term: vars(test) for test in mixed.anova(fitted(inputs), df_method)}


def marginal_means(inputs):
    """mixed.marginal_means."""
    means = mixed.marginal_means(fitted(inputs), inputs["over"], inputs["level"], inputs["df_method"])
    return by_name(means, "mean")


def pairwise(inputs):
    """mixed.pairwise."""
    found = mixed.pairwise(fitted(inputs), inputs["factor"], inputs["adjust"], inputs["level"], inputs["df_method"])
    return by_name(found, "difference")


def against_control(inputs):
    """mixed.against_control."""
    asked = [inputs[k] for k in ("factor", "control", "adjust", "level", "df_method")]
    return by_name(mixed.against_control(fitted(inputs), *asked), "difference")


def equivalence(inputs):
    """mixed.equivalence_tost."""
    return vars(mixed.equivalence(fitted(inputs), *[inputs[k] for k in ("over", "weights", "worth", "alpha")]))


def studentized_range_critical(inputs):
    """mixed.studentized_range_critical."""
    return {"critical": mixed.studentized_range_critical(**inputs)}


def dunnett_critical(inputs):
    """mixed.dunnett_critical."""
    return {"critical": mixed.dunnett_critical(**inputs)}


ADAPTERS = {
    "mixed.fit_reml": fit_reml,
    "mixed.coefficients_satterthwaite": coefficients,
    "mixed.contrast_satterthwaite": lambda inputs: contrast(inputs, "satterthwaite"),
    "mixed.contrast_kenward_roger": lambda inputs: contrast(inputs, "kenward_roger"),
    "mixed.anova_satterthwaite": lambda inputs: anova(inputs, "satterthwaite"),
    "mixed.anova_kenward_roger": lambda inputs: anova(inputs, "kenward_roger"),
    "mixed.marginal_means": marginal_means,
    "mixed.pairwise": pairwise,
    "mixed.against_control": against_control,
    "mixed.equivalence_tost": equivalence,
    "mixed.studentized_range_critical": studentized_range_critical,
    "mixed.dunnett_critical": dunnett_critical,
}
