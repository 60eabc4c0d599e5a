"""Sheets on paper: what is handed over as PDF, in the frame of our drawing office."""
