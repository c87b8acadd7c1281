"""The crew sheet: what everyone needs on the day, on paper and on a phone."""
