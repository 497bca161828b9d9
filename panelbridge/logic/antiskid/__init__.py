"""Anti-skid of the braked wheels."""
