"""A season's work: plan, calendar, draft sheets, and the desk."""
