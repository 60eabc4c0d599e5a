"""Questions: from a frozen build to answers, and what follows when the build changes."""
