"""Answering: one typed query, one evaluator; a resolver module for each property."""
