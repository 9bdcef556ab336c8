// Package groups puts the results of many groups together: each group's h/e,
// the mean over groups and benches with an uncertainty that is as wide as the
// benches are different, the groups that do not belong, and what a bench does
// over the years.
package groups
