"""What the pictures of a plan show: frames, people, stretches, the path of the sun."""
