"""Tests of answering."""
