"""Rules, search and findings: a job and a shop in, a plan out."""
