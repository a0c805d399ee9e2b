"""What is known about a device: models, loader, cross-file checks. The only reader of knowledge/."""
