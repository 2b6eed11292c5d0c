"""A pupil's plates over the weeks, and a class's side by side: statistics and pages."""
