"""The pages, one folder each: the route calls a step, the page is one frozen model, the template shows it."""
