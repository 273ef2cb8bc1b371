// Package capture turns what somebody says of an engine into facts that can
// become a guide.
//
// [Listen] takes a transcript and returns a [Report]: facts, questions,
// contradictions, passages that were not understood, and numbers that were
// left. It works by rules over words (a lexicon of the trade, a grammar of
// short phrases, and an account of what is being spoken of), so the same text
// always gives the same report; nothing is learned, guessed or looked up.
//
// # Facts
//
// A [Fact] says one thing of one item: how many screws, which thread, which
// torque. It keeps the words it came from with their place in the text and
// their time, who said it, how surely (first-hand, hearsay, guess), what was
// off the machine at that moment, and what it took back. Its ID is made of
// item and kind ("knock sensor/torque"), so that it stays the same when words
// are added elsewhere, and decisions about it can be kept as data.
//
// # What is never done
//
// A number that was not said is never made up. A unit that was dropped is
// taken from what the same narrator said before of the same sort of value;
// failing that from the system of units of the narration, and then the fact
// says so and a question is asked; failing that the fact has no unit. A
// passage that cannot be read gives no fact at all. What is missing (a joint
// without a torque) becomes a question.
//
// # Units
//
// Values are quantity.Value in the unit that was said; times are from the
// begin of the recording; angles are degrees.
//
// Nothing enters a guide by this package: capture/draft lays a report beside a
// guide and carries out what a person decides.
package capture
