// Package study repeats an experiment on a simulated bench many times, with the
// truth known, and measures how far each way of reading the cutoff puts h/e
// from it.
package study
