// Package relational is the part of a store that is the same in every
// relational database: the contract of package store in the SQL that SQLite
// and PostgreSQL both speak. What differs is a Dialect, and a back end is a
// dialect with a schema.
//
// # How it keeps its promises
//
// Every table has the number of the place in front of its key, and every
// statement names it. Numbers are looked up once by the id of the place.
//
// Appends are gathered: while one transaction is being made durable, the calls
// that come in meanwhile wait and go into the next one together. Each call is
// judged on its own, so that a conflict in one does not touch the others.
//
// The cursor of a place is a row that every transaction with new events raises
// first. That row stays locked until the commit, so that cursors become visible
// in rising order, whatever the number of servers; a sequence would hand out
// 7 before 6 is committed, and a reader at 7 would never see 6.
//
// Notices of new events are sent after the commit and are only hints: whoever
// watches also looks by itself every Dialect.PollEvery.
package relational
