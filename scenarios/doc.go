// Package scenarios builds apparatus from scenario files, those that are
// embedded in the program and the user's own. Every key is checked when it is
// read: an error names the file, the line, the column, and what would be right.
package scenarios
