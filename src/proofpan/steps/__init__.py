"""The job, one module a step: documents in, documents out."""
