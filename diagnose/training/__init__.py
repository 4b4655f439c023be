"""Lessons on case files: what answers a look, the lesson itself, its grade and its debrief."""
