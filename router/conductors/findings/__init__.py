"""What must be known of the conductors and fuses that were chosen or named."""
