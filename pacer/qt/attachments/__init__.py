"""Attached pictures and PDFs: opened in a process of their own, kept within bounds."""
