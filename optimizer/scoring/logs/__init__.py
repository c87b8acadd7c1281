"""What was filmed against what a plan promised, and what the counts say of an operator."""
