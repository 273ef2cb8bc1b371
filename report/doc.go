// Package report holds papers: a plan, a torque sheet, a quote, a handover, the
// report of a job, a lay-out list, as data that several printers print alike.
//
// # What it answers
//
// A Document says what is on a paper and nothing of how it looks. Text prints
// it for a terminal, HTML for a browser and its printer, PDF for a printer, and
// JSON for programs; Read reads JSON back. Document.Ticks lists every box that
// can be ticked on the paper with the id under which a program knows it, so that
// a paper with oil on it can be typed back.
//
// # What stands on every page
//
// The number of the paper and its revision, the revision of the guide, the
// variant (largest, at the top: the right procedure on the wrong machine is the
// worst mistake of all), the date, page n of m, and the line that says what
// comes first: local codes, the maker's instructions and licensed practice.
//
// The revision is Document.Mark, worked out from the content: a paper that says
// something else bears another mark, so that a print can be held against what
// the program says now, and an old one is known as old.
//
// # How pages are broken
//
// A caution never stands on another page than the step it warns of, a heading
// never at the foot of a page, no first or last line of a paragraph alone. The
// head of a table is repeated on every page, and so is the name of a step that
// goes on. What is larger than a page is broken all the same rather than lost.
// Numbers stay with their units. A word that is wider than its place is broken.
//
// # What it promises
//
//   - The package is pure. The same document gives the same bytes, whatever the
//     printer; the date is one of the fields.
//   - Any document can be printed, however long its texts and whatever their
//     characters: controls are dropped, broken UTF-8 becomes U+FFFD. Check says
//     what a composer did wrong, such as a tick box whose id is there twice.
//   - HTML carries no style and no script of its own, so that it stands under a
//     strict content policy; the style sheet is Style.
//   - Nothing is said by colour alone.
package report
