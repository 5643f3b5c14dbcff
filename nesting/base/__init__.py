"""What knows nothing of crates: lengths, rules as fields, faults, whole files, stopping, progress, counts."""
