// Package rehearsal is a measurement of h/e at a simulated bench, done by a
// person: what they can touch, the logbook they keep, the order of work, and
// what is said of it afterwards.
//
// The state of a rehearsal is its seed and its log of actions. Replayed, the log
// gives the same readings, to the last bit. The package knows no network, no
// files and no clock: the time at the bench is handed in with each action.
package rehearsal
