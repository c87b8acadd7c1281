"""What stands in the way: walls, nets, columns and people."""
