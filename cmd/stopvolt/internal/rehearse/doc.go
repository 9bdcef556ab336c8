// Package rehearse serves rehearsals to browsers: one page for each student, a
// view for the instructor, the meters as server-sent events and the figures as
// images. The bench itself is analysis/rehearsal; here are sessions, guards,
// words and pages, and nothing else is asked of the network.
package rehearse
