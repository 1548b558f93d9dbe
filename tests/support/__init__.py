"""What several tests share: small days and an independent simulation."""
