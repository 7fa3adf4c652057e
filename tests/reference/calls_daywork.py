"""Reference calls of the topic daywork."""

from proofpan.science.daywork import critical_path_length, job_shop_makespan, resource_constrained_makespan

ADAPTERS = {
    "daywork.job_shop_makespan": lambda i: {"makespan": job_shop_makespan(i["jobs"])},
    "daywork.resource_constrained_makespan": lambda i: {
        "makespan": resource_constrained_makespan(i["durations"], i["successors"], i["demands"], i["capacities"])
    },
    "daywork.critical_path_length": lambda i: {"length": critical_path_length(i["durations"], i["successors"])},
}
