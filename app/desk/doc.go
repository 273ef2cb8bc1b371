// Package desk holds the use cases that keep something: jobs that run over days
// and phones, the people who work on them, customers and what they are given.
//
// It stands between the shells and a store. It owns the clock and the source of
// chance, decides who may do what, judges every event before it is kept
// (joblog.Accept), and works out from the kept events how a job stands
// (joblog.Fold). What a guide means, which plan is best and whether a reading is
// good, it asks package app.
//
// # Jobs
//
// A job is opened for a machine; everything that happens to it afterwards is
// an event. The row that a store keeps of a job is a summary and can be made
// again from the events at any time; nothing is ever read from it that matters.
// Taking a plan pins the revision of the guide it was made with: the text of
// that revision is kept in the store under its hash, and the job is read
// against it from then on.
//
// # Phones
//
// Sheet is everything that a phone needs to work through a plan with no signal:
// every step in words with its cautions, fasteners and parts, and what must not
// be done after each of them. Sync takes the events that a phone has written
// meanwhile and hands out those of others. Sending the same events again is
// always right; events are acknowledged only when the store has them safely.
//
// # Passkeys
//
// Whoever is signed in may register passkeys (W3C WebAuthn Level 3) and sign in
// with them without saying a name: the device holds a handle of chance for each
// person. What has to be remembered between asking for a passkey and seeing it
// goes to the browser, sealed with a key that all servers on one store share;
// it holds for ChallengeTime, at one origin, for one purpose, in the session it
// was made in, and once. The device must have checked who its user is. A count
// of signatures that goes back stops a passkey for good.
//
// # Superseded values
//
// Superseded lists the jobs whose fasteners were tightened to a value that the
// present revision of their guide calls superseded, or are about to be. One
// answer looks at a bounded number of jobs and says where to go on.
//
// # What it does not do
//
// It serves nothing and prints nothing; what people read is in the answers.
package desk
