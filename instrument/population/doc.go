// Package population describes benches that are not known exactly: each number
// of a bench may follow a law, stand in a joint row with others, or be relative
// to another. It has no randomness of its own: whoever draws a bench hands it a
// number between 0 and 1 for each key.
package population
