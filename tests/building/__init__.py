"""Tests of takeoffs: equal points, chunks, workers, totals."""
