package web

import "fmt"

// say returns what people read, with the arguments put in. It panics on an
// unknown key, which is a mistake in the program: a test looks every key up.
func say(key string, args ...any) string {
	text, ok := english[key]
	if !ok {
		panic("web: no words for " + key)
	}
	if len(args) == 0 {
		return text
	}
	return fmt.Sprintf(text, args...)
}

// english holds every word of the pages in one language. Another language is
// another such table. What package app says in sentences is not in here.
var english = map[string]string{
	"lang": "en", "name": "Elbowroom", "skip": "Skip to the page",
	"nav.label": "Pages", "nav.home": "In today", "nav.job": "Job", "nav.plan": "Plan", "nav.bay": "Bay",

	"home.title": "In today", "home.head": "What needs doing?", "home.in": "In today",
	"home.none":   "No machine is in. Choose a guide below and plan with that.",
	"home.guides": "Just a guide", "home.no-guides": "No guide is loaded.",
	"machine.built": "built %s", "machine.open": "%d off or aside", "machine.closed": "everything fitted",
	"machine.complaint": "Complaint", "machine.off": "Off or aside now", "machine.differs": "Differs", "machine.next": "Next",
	"machine.job": "Find the fault", "machine.plan": "Plan something", "machine.plan-next": "Plan what is next", "machine.bay": "Look into the bay",
	"machine.unwritten": "Nothing written down yet",
	"guide.items":       "%d items", "guide.plan": "Plan with it", "guide.bay": "Look into the bay",
	"guide.broken":     "This guide cannot be used until these are put right:",
	"edition.both":     "%s of %s",
	"edition.revision": "revision %s", "offer.guide": "Guide alone: %s",
	"subject.change": "Other machine", "subject.go": "Take this one",

	"search.for": "On", "search.label": "Part, by any name", "search.example": "knock, coil 3, SE13 …", "search.button": "Find",
	"hits.none": "Nothing is called “%s” here. Try a shorter word, or the ID on the drawing.",
	"hits.more": "and %d more; write another word to narrow it down", "hits.by": "also “%s”", "hits.no-task": "nothing to do on it is written down",
	"doing.in": "%s: add %s to the plan", "doing.out": "%s: take %s out of the plan",
	"verb.check": "Check", "verb.replace": "Replace", "verb.clean": "Clean", "verb.repair": "Repair", "verb.wiggle": "Wiggle test",

	"choose.title": "Which variant?", "choose.head": "Which variant is it?", "choose.button": "It is this one",
	"choose.why": "%s has several variants, and ways and values differ between them.",

	"plan.title": "Plan", "plan.title-of": "%s, %d to do", "plan.empty": "What needs doing?", "plan.head": "To do in this visit",
	"plan.next": "Next on this machine", "plan.differs": "This machine differs:", "task.before": "as found, before the strip", "task.proof": "as proof, when all is back",
	"task.remove": "Take out of the plan: %s", "by.head": "Least", "by.money": "money", "by.minutes": "minutes",

	"set.head": "How it stands now:", "set.given": "Conditions at the start", "set.standing": "Already off or aside",
	"set.visit": "The visit", "set.people": "People", "set.leave": "Leave everything open at the end",
	"set.missing": "Not at hand: %s", "set.has": "It is here", "set.button": "Plan from here", "set.arrived": "As it arrived",
	"people.one": "one person", "people.many": "%d people", "stands.off": "%s stands off", "stands.aside": "%s stands aside",
	"aside": "aside", "off": "off", "or": "or",

	"total.head": "Time and money", "total.money": "What the money is",
	"share.strip": "strip", "share.work": "work", "share.refit": "refit", "share.setup": "changing place or tool", "share.wait": "waiting",
	"sum.labour": "Labour", "sum.idle": "Waiting", "sum.parts": "Parts the way in uses up", "sum.fluids": "Fluids the way in uses up", "sum.hire": "Hired tools", "sum.risk": "Risk of breakage",
	"sum.fitted":           "Beside this: the new parts themselves",
	"outcome.label":        "How good the plan is",
	"outcome.optimal":      "Proved: nothing cheaper exists",
	"outcome.optimal.says": "Every other way in costs as much or more.",
	"outcome.bounded":      "At most %s dearer than the best", "gap": "%d %%",
	"outcome.bounded.says":    "The search stopped at its time limit. The plan is valid, and no plan can save more than that.",
	"outcome.impossible":      "This cannot be done as asked",
	"outcome.impossible.says": "Proved: no plan exists. These together stand in the way; putting one of them right is enough to look again.",
	"outcome.limit":           "No plan found in the time allowed",
	"outcome.limit.says":      "Nothing was ruled out either. Ask for fewer tasks at once, or say more about how the machine stands.",
	"outcome.bad-input":       "The question does not fit the guide",
	"outcome.bad-input.says":  "Nothing was planned.",
	"during.head":             "Not during this visit",

	"valley.head": "The valley", "valley.now": "now", "valley.found": "%s, found off",
	"valley.legend": "Down is more off, across is time. Each row is one removal with its refit; minutes are there/back.",
	"valley.says":   "Valley of the plan: %d strip steps in %s, %d tasks in %s, %d refit steps in %s; %s in all",
	"step.says":     "Step %d: %s, %s", "step.anchor": "#step-%d",
	"steps.head": "Step by step", "step.torque": "Tighten", "step.joints": "Held by", "step.tools": "Tools", "step.uses": "Takes",
	"step.risks": "May break", "step.mirror": "mirror: step %d", "step.sheet": "where it is", "caution": "Caution",
	"hands.one": "one hand", "hands.two": "two hands", "sight.seen": "in sight", "sight.mirror": "by mirror",
	"tools.head": "Lay out", "tools.none": "No tool is named.", "tools.without": "not at hand", "tools.hired": "hired", "at-steps": "step",
	"parts.head": "On the shelf before you open it", "parts.none": "No part is used.", "parts.sum": "All of it", "part.once": "single-use", "part.lead": "%d days to get", "part.lead-one": "a day to get",
	"part.unpriced": "no price", "fluids.head": "Fluids", "fluids.none": "No fluid is used.",
	"others.head": "Other ways to do it", "others.none": "No plan that differs in the way in was found.", "others.steps": "%d steps", "others.take": "show this one",
	"holds.head": "How long this stays the best", "avoided.head": "Goes round what only the maker can say",
	"why.head": "Why it cannot be cheaper", "why.lead": "Every way in must pay for each line. Where a line names several, at least one of them is in every plan.",
	"why.base": "The tasks themselves", "why.more": "and %d smaller reasons", "why.acts": "%d others", "why.sum": "No plan can cost less than",
	"why.cases": "%d further cases were searched to prove the rest.",
	"act.off":   "%s off", "act.aside": "%s aside", "act.back": "%s back on", "act.task": "%s: %s", "act.change": "%s", "act.hire": "hire of %s",
	"reach.head": "Also in reach", "reach.show": "Work out what else is worth doing now",
	"reach.lead":   "Extra minutes and money if it is done in the same visit. Tick to add.",
	"reach.filter": "Narrow down", "reach.more": "All %d", "reach.add": "Add what is ticked", "reach.none": "Nothing else can be done in this visit.",
	"reach.shut": "%d left out, and why", "reach.changes": "changes the way in", "reach.alone": "alone %s",
	"dock.label": "On this page", "dock.steps": "Steps", "dock.tools": "Lay out", "dock.reach": "In reach",
	"patterns.title": "Every component", "no-guide.head": "Nothing is written down for this one yet",
	"no-guide.why":  "There is no guide for %s, so there is nothing to plan with and no drawing.",
	"no-guide.do":   "The first job on it is the best time to start one: what came off, in which order, with which tool, how long it took.",
	"no-guide.home": "Back to what is in",

	"bay.title": "Bay", "bay.title-of": "%s, in the bay", "bay.head": "Bay of %s", "bay.search": "Find in the bay", "bay.example": "any name or ID",
	"bay.region": "Drawing of the bay. Arrow keys move it, plus and minus zoom, 0 fits it to the screen.",
	"bay.views":  "Look from", "bay.counts": "%d items drawn, %d without a place",
	"view.above": "above", "view.below": "below", "view.left": "left", "view.right": "right", "view.front": "front", "view.rear": "rear", "view.corner": "corner",
	"zoom.in": "Zoom in", "zoom.out": "Zoom out", "zoom.fit": "Fit to the screen", "place.unplaced": "not on the drawing",
	"sheet.close": "Close the sheet", "sheet.also": "also called", "sheet.plan": "Plan:", "sheet.where": "Where", "sheet.nowhere": "Its place is not written down.",
	"sheet.ways": "Ways", "sheet.no-ways": "No way is written down.", "sheet.blocked": "Blocked by", "sheet.blocks": "In the way of",
	"sheet.joints": "Held by", "sheet.connector": "Its connector", "sheet.parts": "A replacement takes", "sheet.checks": "Checks", "sheet.faults": "What goes wrong with it",
	"sheet.notes": "Notes", "sheet.source": "Says who:", "way.best": "the cheapest of these from here", "way.closed": "not on this variant",
	"way.first": "first off or aside:", "check.at": "Measure at", "check.good": "Good", "check.when": "When", "check.add": "Plan this check",
	"connector.pins": "%d pins", "connector.lock": "lock: %s",

	"job.title": "Job", "job.title-of": "Job on %s", "job.suspects": "Who is suspected", "job.fixed": "nothing is wrong any more",
	"job.others": "%d more, less likely", "job.known": "What is known", "job.pending": "pending", "job.heard": "Heard in the complaint: right?",
	"job.log": "Read and done so far", "job.log-empty": "Nothing yet. Readings and repairs stand here in their order.", "job.drop": "Take back: %s",
	"job.counted": "counted anyway", "job.anyway": "count it anyway", "job.add": "Add a code, a clue or another reading", "job.add-code": "Trouble code",
	"job.add-touched": "Worked on just before it began", "job.touched-example": "part, by any name", "job.add-button": "Add",
	"job.add-complaint": "Complaint, in the customer's words", "job.complaint-button": "Keep this", "job.other-check": "Reading of another check", "job.open-check": "Enter",
	"job.code-unknown": "no fault of the guide lists it", "job.range": "between %s and %s, by what had to be assumed", "job.assumed": "assumed",
	"job.excluded": "Ruled out by %s", "job.repaired": "repaired",
	"answer.yes": "yes", "answer.no": "no", "answer.not-known": "don't know",
	"verdict.good": "conforming", "verdict.bad": "non-conforming", "verdict.close": "too close to call", "verdict.none": "not comparable",
	"next.check": "Measure next", "next.repair": "Repair next", "next.proof": "Prove it", "next.refer": "Refer it on", "next.none": "Nothing can be advised",
	"next.good": "Good is", "next.at": "at the %s", "next.assumed": "Assumed: %s.", "next.standing": "Nothing has to come off for it.", "next.way": "The way to it, %d steps",
	"next.plan": "Plan the visit", "next.bay": "Where it is", "next.second": "Runner-up:", "next.loses": "%s more in all",
	"next.shows": "What it may show", "next.then": "then", "next.remains": "%s to go", "next.predict": "What each suspect makes likely",
	"next.learned": "Nearly for nothing after it", "next.instead": "instead of %s", "next.money": "Until it is right",
	"next.expected": "expected from here until it is proved right and closed up", "next.falls": "In 10, 50 and 90 of 100 such jobs at most %s, %s and %s.",
	"next.gap": "No other course saves more than %s.", "next.offers": "All %d first steps", "next.tree": "The whole tree",
	"done.repaired": "It is repaired", "done.passed": "It passed", "done.failed": "It failed",
	"entry.head": "Reading of %s", "entry.value": "Reading", "entry.unit": "Unit of: %s", "entry.held": "True while measuring", "entry.set": "Taken as set:", "entry.all-held": "All of it", "entry.number": "%s, as a number", "entry.number-short": "number",
	"entry.using": "Measured with", "entry.unknown": "not said", "entry.words": "Anything else seen", "entry.planned": "Reached as planned; stands off or set now:",
	"entry.yes": "yes", "entry.no": "no", "entry.button": "Judge it", "entry.wrong": "This could not be read",

	"error.input.title": "Cannot be planned as asked", "error.input.what": "This cannot be used as it stands",
	"error.unknown.title": "Not known here", "error.unknown.what": "This is not known here",
	"error.audit.title": "Plan withheld", "error.audit.what": "The plan did not stand up to its check, so it is not shown",
	"error.near": "Did you mean", "error.typed": "What was asked", "error.drop": "drop", "error.search": "Look for it by name",
	"error.about": "Ask about another one", "error.home": "Back to what is in",
	"error.words-long": "a name to look for is longer than %d letters", "error.view": "view: %q is none of %s",
	"near.task":   "%s: %s",
	"typed.guide": "guide", "typed.machine": "machine", "typed.variant": "variant", "typed.task": "task", "typed.before": "task as found",
	"typed.proof": "task as proof", "typed.order": "order", "typed.start": "stands", "typed.leave": "stays open", "typed.missing": "not at hand",
	"typed.people": "people", "typed.by": "least", "typed.rate": "an hour costs", "typed.q": "searched for", "typed.view": "view from",
	"typed.item": "item", "typed.reach": "also in reach", "typed.at": "reading of", "typed.complaint": "complaint", "typed.code": "code",
	"typed.all-codes": "all codes", "typed.sign": "sign", "typed.touched": "worked on", "typed.around": "shows when", "typed.log": "log",
	"lost.title": "No such page", "lost.what": "There is no such page", "lost.why": "Nothing is served at %s.", "lost.file": "no such file",
	"still.panic.title": "Something broke", "still.panic.what": "Something broke on our side",
	"still.panic.why":  "What you asked is still in the address. Try again; if it stays, tell whoever runs this server.",
	"still.late.title": "Too slow", "still.late.what": "This took too long",
	"still.late.why":     "The server is busy or the question is large. Try again in a moment, or with fewer tasks at once.",
	"still.method.title": "Not taken here", "still.method.what": "These pages only answer, they take nothing in",
	"still.method.why": "Only GET and HEAD are served.",
	"still.long.title": "Address too long", "still.long.what": "This address is too long", "still.long.why": "Ask for fewer things at once.",

	"keys.button": "Keys", "keys.title": "Keys", "keys.search": "look for a part", "keys.home": "what is in", "keys.plan": "the plan", "keys.bay": "the bay",
	"keys.valley": "in the valley: the step before or after", "keys.mirror": "in the valley: to the mirror of the step",
	"keys.zoom": "in the bay: zoom in, out, fit", "keys.pan": "in the bay: move the drawing", "keys.close": "close sheet or list", "keys.help": "this list",
	"keys.done": "Done", "delta.more": "%s more", "delta.less": "%s less", "delta.same": "no change", "live.found": "%d found",
	"live.broken": "No answer from the server. Loading the whole page.",
}
