"""Take-off configuration warning."""
