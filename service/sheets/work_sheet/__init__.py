"""The work sheet: a plan on paper, enough to do the job without the service."""
