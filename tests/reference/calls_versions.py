"""Reference calls of topic versions: thin reshaping onto the public functions."""

import numpy as np

from proofpan.science import versions as v
from proofpan.science.versions import closed_form


def _posterior(i):
    prior = i["prior"]
    p = closed_form.known_posterior(
        i["levels"], i["observations"], mean=prior["mean"], mean_sd=prior["mean_sd"], main_sd=prior["main_sd"],
        pair_sd=prior["pair_sd"], effects=i["effects"], load_sd=i.get("load_sd") or 0.0, cook_sd=i.get("cook_sd") or 0.0,
        taster_sd=i.get("taster_sd") or 0.0,
    )
    return {
        "versions": [list(x) for x in p.versions], "mean": p.mean.tolist(), "sd": p.sd.tolist(), "cov": p.cov.tolist(),
        "log_evidence": p.log_evidence,
    }


def _odds_best(i):
    o = closed_form.known_odds(i["mean"], i["cov"], i["worth"])
    return {"odds_best": o.odds_best.tolist(), "odds_within_worth": o.odds_within_worth.tolist()}


def _expected_loss(i):
    o = closed_form.known_odds(i["mean"], i["cov"], 0.0)
    return {"expected_best": o.expected_best, "expected_loss": o.expected_loss.tolist()}


def _knowledge_gradient(i):
    value, change = closed_form.knowledge_gradient(i["mean"], i["cov"], i["noise_variance"])
    return {"value": value.tolist(), "change": change.tolist()}


def _sample_value(i):
    value, change = closed_form.sample_value(i["difference"], i["sd"], i["noise_variance"])
    return {"value": value, "change": change}


def _count(i):
    space = v.make_space(
        {f["name"]: f["levels"] for f in i["factors"]},
        when={f["name"]: f["when"] for f in i["factors"] if f.get("when")}, never=i.get("never", ()),
    )
    return {"versions": space.size}


def _overall(i):
    a = i["attributes"]
    score = v.overall_score([x["scale"] for x in a], [x["better"] for x in a], [x["weight"] for x in a], i["scores"])
    return {"score": float(np.asarray(score))}


def _outcome(i):
    difference = v.gaussian(i["posterior_mean"], i["posterior_sd"])
    return {"outcome": v.outcome(i["asks"], difference, i["worth"], i.get("price", 0.0))}


ADAPTERS = {
    "versions.posterior": _posterior,
    "versions.odds_best": _odds_best,
    "versions.expected_loss": _expected_loss,
    "versions.knowledge_gradient": _knowledge_gradient,
    "versions.sample_value": _sample_value,
    "versions.expected_maximum": lambda i: {"value": closed_form.expected_maximum(i["k"])},
    "versions.count": _count,
    "versions.overall_score": _overall,
    "verdict.outcome": _outcome,
}
