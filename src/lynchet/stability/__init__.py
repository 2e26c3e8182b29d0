"""What holds each wall: pressure, joints, bases, ties, tiers, the whole slope."""
