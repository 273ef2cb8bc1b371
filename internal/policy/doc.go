// Package policy holds the rules of this code base as tests: which package may
// import which, what every dependency is for, that each package explains
// itself, and how large files and functions may grow. A rule that is broken on
// purpose has its exception here, with the reason.
package policy
