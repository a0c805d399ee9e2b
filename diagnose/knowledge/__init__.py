"""What is known about a device: models, loader, cross-file checks; only it reads knowledge/."""
