"""A class's plates in one go: found, measured on all cores or a cluster, laid out on one page."""
