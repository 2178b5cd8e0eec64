"""What must be cut, and every place it can be cut from."""
