"""Tests of the page of the first start."""
